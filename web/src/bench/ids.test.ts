import { expect, test } from 'vitest';
import { newId } from './ids';

// RFC 9562, appendix A.6: the example of version 7 is of 2022-02-22 19:22:22 UTC, 0x017F22E279B0 ms.
test('an id has the form and the time of version 7', () => {
  expect(newId(0x017f22e279b0)).toMatch(
    /^017f22e2-79b0-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/,
  );
});

test('no two are alike', () => {
  expect(new Set(Array.from({ length: 1000 }, () => newId(5))).size).toBe(1000);
});

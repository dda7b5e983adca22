import { afterEach, vi } from 'vitest';

afterEach(() => {
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

// Tests run without a page unless they ask for one in their first line: it takes longer to set up than most
// of them take.
if (typeof document !== 'undefined') await import('./test-setup-page');

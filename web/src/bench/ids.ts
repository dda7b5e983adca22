// Ids that are made here, so that what is sent twice counts once.

/**
 * A UUID of version 7 (RFC 9562, section 5.7): milliseconds since 1970, then chance. Made by hand
 * because `crypto.randomUUID` is missing where a phone is joined without TLS.
 */
export function newId(now_ms = Date.now()): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  for (let at = 0; at < 6; at++) bytes[at] = Math.floor(now_ms / 2 ** (8 * (5 - at))) % 256;
  bytes[6] = 0x70 | ((bytes[6] ?? 0) & 0x0f);
  bytes[8] = 0x80 | ((bytes[8] ?? 0) & 0x3f);
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('');
  return [
    hex.slice(0, 8),
    hex.slice(8, 12),
    hex.slice(12, 16),
    hex.slice(16, 20),
    hex.slice(20),
  ].join('-');
}

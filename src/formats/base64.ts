/** Bytes of base64 and base64 of bytes, without any host's help. */

const DIGITS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/';

/** Value of each character's code. */
const VALUES = new Uint8Array(128);
for (let k = 0; k < DIGITS.length; k++) VALUES[DIGITS.charCodeAt(k)] = k;

/** Base64 with padding. Source: RFC 4648, section 4. */
export function base64(bytes: Uint8Array): string {
  const parts: string[] = [];
  for (let i = 0; i < bytes.length; i += 3) {
    const left = bytes.length - i;
    const all = (bytes[i]! << 16) | ((bytes[i + 1] ?? 0) << 8) | (bytes[i + 2] ?? 0);
    let four = '';
    for (let k = 0; k < 4; k++) four += k <= left ? DIGITS[(all >> (18 - 6 * k)) & 63]! : '=';
    parts.push(four);
  }
  return parts.join('');
}

/** Null where the text is no base64. */
export function fromBase64(text: string): Uint8Array | null {
  if (text.length % 4 !== 0 || !/^[A-Za-z0-9+/]*={0,2}$/.test(text)) return null;
  const padding = text.endsWith('==') ? 2 : text.endsWith('=') ? 1 : 0;
  const length = text.length - padding;
  const out = new Uint8Array(Math.floor((length * 3) / 4));
  let bits = 0;
  let held = 0;
  let n = 0;
  for (let i = 0; i < length; i++) {
    bits = ((bits << 6) | VALUES[text.charCodeAt(i)]!) & 0xffff;
    held += 6;
    if (held < 8) continue;
    held -= 8;
    out[n++] = (bits >> held) & 0xff;
  }
  return out;
}

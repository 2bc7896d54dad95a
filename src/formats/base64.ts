/** Bytes of base64 and base64 of bytes, without any host's help. */

const DIGITS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/';

/** RFC 4648, section 4, with padding. */
export function base64(bytes: Uint8Array): string {
  const parts: string[] = [];
  for (let i = 0; i < bytes.length; i += 3) {
    const [a, b = 0, c = 0] = bytes.subarray(i, i + 3);
    const all = (a! << 16) | (b << 8) | c;
    const left = Math.min(3, bytes.length - i);
    let four = '';
    for (let k = 0; k < 4; k++) four += k <= left ? DIGITS[(all >> (18 - 6 * k)) & 63]! : '=';
    parts.push(four);
  }
  return parts.join('');
}

/** Null where the text is no base64. */
export function fromBase64(text: string): Uint8Array | null {
  if (text.length % 4 !== 0 || !/^[A-Za-z0-9+/]*={0,2}$/.test(text)) return null;
  const clean = text.replace(/=+$/, '');
  const out = new Uint8Array(Math.floor((clean.length * 3) / 4));
  let [bits, held, n] = [0, 0, 0];
  for (let i = 0; i < clean.length; i++) {
    bits = (bits << 6) | DIGITS.indexOf(clean[i]!);
    held += 6;
    if (held >= 8) {
      held -= 8;
      out[n++] = (bits >> held) & 0xff;
    }
    bits &= 0xffff;
  }
  return out;
}

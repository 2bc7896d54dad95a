/** Bytes of text and text of bytes, without any host's help: the same in Node, in a worker and on an insecure page. */

/** UTF-8 of `text`; a lone surrogate becomes U+FFFD, as everywhere. */
export function utf8(text: string): Uint8Array {
  const out = new Uint8Array(3 * text.length);
  let n = 0;
  for (let i = 0; i < text.length; i++) {
    let c = text.charCodeAt(i);
    if (c >= 0xd800 && c < 0xe000) {
      const next = text.charCodeAt(i + 1);
      if (c < 0xdc00 && next >= 0xdc00 && next < 0xe000) {
        c = 0x10000 + ((c - 0xd800) << 10) + (next - 0xdc00);
        i++;
      } else c = 0xfffd;
    }
    if (c < 0x80) out[n++] = c;
    else {
      const tail = c < 0x800 ? 1 : c < 0x10000 ? 2 : 3;
      out[n++] = ([0, 0xc0, 0xe0, 0xf0][tail]! | (c >> (6 * tail))) & 0xff;
      for (let k = tail - 1; k >= 0; k--) out[n++] = 0x80 | ((c >> (6 * k)) & 0x3f);
    }
  }
  return out.slice(0, n);
}

/** Text of UTF-8 bytes; null where they are none. */
export function fromUtf8(bytes: Uint8Array): string | null {
  const parts: string[] = [];
  let units: number[] = [];
  for (let i = 0; i < bytes.length;) {
    const lead = bytes[i++]!;
    const tail =
      lead < 0x80
        ? 0
        : lead >= 0xc2 && lead < 0xe0
          ? 1
          : lead >= 0xe0 && lead < 0xf0
            ? 2
            : lead >= 0xf0 && lead < 0xf5
              ? 3
              : -1;
    if (tail < 0 || i + tail > bytes.length) return null;
    let c = tail === 0 ? lead : lead & (0x3f >> tail);
    for (let k = 0; k < tail; k++) {
      const b = bytes[i++]!;
      if ((b & 0xc0) !== 0x80) return null;
      c = (c << 6) | (b & 0x3f);
    }
    if (c > 0x10ffff || (c >= 0xd800 && c < 0xe000) || c < [0, 0x80, 0x800, 0x10000][tail]!) return null;
    if (c < 0x10000) units.push(c);
    else units.push(0xd7c0 + (c >> 10), 0xdc00 + (c & 0x3ff));
    if (units.length > 8000) {
      parts.push(String.fromCharCode(...units));
      units = [];
    }
  }
  return parts.join('') + String.fromCharCode(...units);
}

export const hex = (bytes: Uint8Array): string => Array.from(bytes, (b) => b.toString(16).padStart(2, '0')).join('');

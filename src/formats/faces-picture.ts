import * as v from 'valibot';
import { fromBase64 } from './base64.ts';
import { BOUNDS } from './bounds.ts';
import { crossed, LINE, list, NAME, text, type Of } from './parts.ts';

/** Most characters of the picture in base64: a net of 20 faces takes some 60 000. */
const MOST = 600_000;
const SIDE = v.pipe(v.number(), v.integer(), v.minValue(1), v.maxValue(4096));

/** The faces of a die as its photos show them, unfolded: for whoever reads a report, never measured from. */
export const FACES_PICTURE = crossed(
  v.strictObject({
    /** A whole JPEG file of three colours in 8 bits, base64. */
    jpeg: v.pipe(text(MOST), v.regex(/^[A-Za-z0-9+/]+={0,2}$/)),
    /** px. */
    width: SIDE,
    height: SIDE,
    umPerPx: v.pipe(v.number(), v.minValue(0.1), v.maxValue(10_000)),
    /** Which photo each face is taken from. */
    faces: list(v.strictObject({ face: NAME, photo: LINE }), BOUNDS.faces),
    /** Faces that no photo shows. */
    unseen: list(NAME, BOUNDS.faces),
  }),
  ({ jpeg, width, height }) => {
    const frame = jpegFrame(jpeg);
    return frame?.width === width && frame.height === height ? null : { at: ['jpeg'], need: 'pattern' };
  },
);
export type FacesPicture = Of<typeof FACES_PICTURE>;

/** Size of a JPEG's frame if it has three colours in 8 bits; null for all else. Source: ITU-T T.81, annex B. */
export function jpegFrame(base64: string): { readonly width: number; readonly height: number } | null {
  const bytes = fromBase64(base64);
  if (bytes === null) return null;
  const byte = (k: number): number => bytes[k] ?? 0;
  const two = (k: number): number => 256 * byte(k) + byte(k + 1);
  if (two(0) !== 0xffd8) return null;
  for (let at = 2; at + 10 < bytes.length; at += 2 + two(at + 2)) {
    const marker = byte(at + 1);
    if (byte(at) !== 0xff || marker < 0xc0 || marker === 0xff) return null;
    if (marker > 0xc2 || !(two(at + 2) >= 2)) {
      if (marker === 0xda || !(two(at + 2) >= 2)) return null;
      continue;
    }
    return byte(at + 4) === 8 && byte(at + 9) === 3 ? { width: two(at + 7), height: two(at + 5) } : null;
  }
  return null;
}

import { withPhoto, type Decode } from '../photo/open.ts';
import { failure, type Result } from '../result.ts';
import type { Note } from '../formats/result.ts';
import { lookAt, type Added } from './look.ts';

/** What one file's look gave: all that is kept of it, plain, so that it may come from another worker. */
export interface LookedFile {
  readonly name: string;
  readonly found: Result<Added, readonly Note[]>;
  /** Whether it is no photo at all, or none that can be opened. */
  readonly refused: boolean;
  /** Seconds of work, by stage. */
  readonly spent: Readonly<Record<string, number>>;
}

/**
 * Opens a file and looks at its photo by itself; afterwards neither is needed.
 *
 * @param bytes  Empty where there is no such file.
 * @param now    A clock in seconds, for `spent` alone.
 */
export async function lookAtFile<Bytes extends Uint8Array>(
  name: string,
  bytes: Bytes,
  decode: Decode<Bytes>,
  now: () => number,
): Promise<LookedFile> {
  const began = now();
  let decodedAt = began;
  const looked = await withPhoto(name, bytes, decode, ({ picture, focal, sniffed: { orientation, coding } }) => {
    decodedAt = now();
    return lookAt({ name, picture, orientation, focal, coding }, { photo: name, up: '', front: '' });
  });
  if (!looked.ok) return { name, found: failure([looked.error]), refused: true, spent: { decode: now() - began } };
  return { name, found: looked.value, refused: false, spent: { decode: decodedAt - began, card: now() - decodedAt } };
}

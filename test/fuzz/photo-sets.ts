import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc, { type Arbitrary } from 'fast-check';
import { decodePicture } from '../../src/cli/decode.ts';
import { loadCv } from '../../src/cli/opencv-node.ts';
import { MOST_SECONDS, createFileSet } from '../../src/measure/file-set.ts';
import { parseAsked } from '../../src/measure/asked.ts';
import { lookAtFile, type LookedFile } from '../../src/measure/look-at-file.ts';
import type { MeasureFailure, MeasureResult, Note } from '../../src/formats/result.ts';
import type { Result } from '../../src/result.ts';
import { messageOf } from '../../src/text/notes.ts';
import type { Picture } from '../../src/vision/picture.ts';
import { mutatedBytes } from './mutations.ts';
import { refused, taken, type Outcome } from './outcome.ts';
import type { Reader } from './readers.ts';

const FOLDER = join(import.meta.dirname, '../../samples/d6');
const SHOTS = ['01-1.jpg', '02-2.jpg', '03-3.jpg', '04-6.jpg'] as const;
const bytesOf = (name: string): Uint8Array => new Uint8Array(readFileSync(join(FOLDER, name)));

/** A U95 is so many standard uncertainties; a length that moved further unremarked is a wrong number. */
const U95 = 2;

type Measured = Result<MeasureResult, MeasureFailure>;

/**
 * A set of photos of which one is damaged. The first byte of an input says which; what is measured of the same pixels, and of
 * what the file says beside them, is not measured again.
 */
export async function photoSets(): Promise<Reader> {
  const cv = await loadCv();
  const asked = parseAsked(JSON.parse(readFileSync(join(FOLDER, 'job.json'), 'utf8')), null);
  if (!asked.ok) throw new Error('the sample has no job');
  const set = createFileSet(asked.value, () => performance.now() / 1000);
  const good = SHOTS.map(bytesOf);
  const seen = new Map<string, Measured>();
  const look = (name: string, bytes: Uint8Array, decode = decodePicture): Promise<LookedFile> =>
    lookAtFile(name, bytes, decode, () => 0);
  const measured = async (which: number, digest: string): Promise<Measured> => {
    const key = `${which} ${digest}`;
    const known = seen.get(key);
    if (known) return known;
    const outcome = await set.finish();
    if (seen.size < 5000) seen.set(key, outcome);
    return outcome;
  };
  const goodLooks = await Promise.all(SHOTS.map((name, i) => look(name, good[i]!)));
  for (const looked of goodLooks) set.take(looked);
  const whole = await measured(-1, 'whole');
  if (!whole.ok) throw new Error('the sample is not measured');
  return {
    inputs: inputsOf(good),
    async read(input) {
      const which = input[0]! % SHOTS.length;
      const name = SHOTS[which]!;
      let digest = 'refused';
      const decode = async (bytes: Uint8Array): Promise<Picture> => {
        const picture = await decodePicture(bytes);
        digest = createHash('sha256').update(picture.data).digest('hex');
        return picture;
      };
      const looked = await look(name, input.subarray(1), decode);
      const judged = set.take(looked);
      const outcome = await measured(which, judged.status === 'left-out' ? 'refused' : `${digest} ${saidOf(looked)}`);
      set.take(goodLooks[which]!);
      if (cv.live() !== 0) throw new Error(`${cv.live()} OpenCV objects left`);
      return outcomeOf(outcome, whole.value, name, judged.status !== 'left-out');
    },
  };
}

/** What a file says beside its pixels and the measurement hears: two files of the same pixels may differ in it. */
function saidOf({ found }: LookedFile): string {
  if (!found.ok) return '';
  const { focal, orientation, coding, notes } = found.value;
  return JSON.stringify([focal, orientation, coding, notes]);
}

const inputsOf = (good: readonly Uint8Array[]): Arbitrary<Uint8Array> =>
  fc
    .nat(good.length - 1)
    .chain((which) =>
      fc
        .oneof(mutatedBytes(good[which]!), mutatedBytes(good[which]!, [0, 0.01]), cutAndEnded(good[which]!))
        .map((bytes) => Uint8Array.from([which, ...bytes])),
    );

/** Cut, and given an end marker, as a transfer that broke off and was mended by a program. */
const cutAndEnded = (good: Uint8Array): Arbitrary<Uint8Array> =>
  fc.double({ min: 0.05, max: 0.999, noNaN: true }).map((share) => {
    const n = Math.floor(share * good.length);
    const out = good.slice(0, n + 2);
    out.set([0xff, 0xd9], n);
    return out;
  });

function outcomeOf(outcome: Measured, whole: MeasureResult, name: string, used: boolean): Outcome {
  const words = (note: Note): [string, string] => {
    const [en, de] = [messageOf(note), messageOf(note, 'de')];
    return [`${en.text} ${en.advice}`, `${de.text} ${de.advice}`];
  };
  if (!outcome.ok) return refused(outcome.error.code, ...words(outcome.error));
  const { axes, photos, notes } = outcome.value;
  const photo = photos.find((p) => p.photo === name)!;
  const remarked = photo.status !== 'used' || notes.length > whole.notes.length;
  for (const axis of axes) {
    const before = whole.axes.find((a) => a.name === axis.name);
    if (!before || remarked || !used) continue;
    const moved = Math.abs(axis.length - before.length);
    if (moved > U95 * axis.u)
      throw new Error(
        `a wrong number: ${axis.name} moved by ${moved.toFixed(4)} mm, U95 ${(U95 * axis.u).toFixed(4)} mm`,
      );
  }
  return taken(...[...notes, ...photo.notes].flatMap(words), JSON.stringify(axes));
}

/** Wall seconds that a set of the sample may take at most, by its own bound. */
export const SET_SECONDS = MOST_SECONDS.set + MOST_SECONDS.photo * SHOTS.length;

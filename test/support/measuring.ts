import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { loadCv } from '../../src/cli/opencv-node.ts';
import { focalPx } from '../../src/photo/exif-focal.ts';
import { jobMessage } from '../../src/text/job-faults.ts';
import { parseJob } from '../../src/formats/job.ts';
import type { Asked } from '../../src/measure/asked.ts';
import { lookAt } from '../../src/measure/look.ts';
import { createMeasurement, type Measurement } from '../../src/measure/measure.ts';
import type { Job, MeasureFailure, MeasureResult } from '../../src/formats/result.ts';
import type { Result } from '../../src/result.ts';
import type { Cv } from '../../src/vision/cv.ts';
import type { Picture } from '../../src/vision/picture.ts';
import { pixelsOf, type Pixels } from './photo-edits.ts';

/** One OpenCV for all tests of a file. */
export const cv: Cv = await loadCv();

const samples = join(import.meta.dirname, '../../samples');

export const sampleFile = (set: string, photo: string): Uint8Array<ArrayBuffer> =>
  new Uint8Array(readFileSync(join(samples, set, photo)));

const decoded = new Map<string, Promise<Pixels>>();

/** Pixels of a sample photo, decoded once; not to be written to. */
export function samplePixels(set: string, photo: string): Promise<Pixels> {
  const key = `${set}/${photo}`;
  let pixels = decoded.get(key);
  if (!pixels) decoded.set(key, (pixels = pixelsOf(sampleFile(set, photo))));
  return pixels;
}

/** A sample's job with other shots than its own where they are given. */
export function sampleJob(set: string, changes: Record<string, unknown> = {}): Job {
  const json = JSON.parse(readFileSync(join(samples, set, 'job.json'), 'utf8')) as Record<string, unknown>;
  const job = parseJob({ ...json, ...changes });
  if (!job.ok) throw new Error(jobMessage(job.error));
  return job.value;
}

/** What the sample photos' own data state: a focal length of 35 mm in equivalents. */
export const SAMPLE_FOCAL = focalPx(35, 2016, 1512);

export interface SetPhoto {
  readonly name: string;
  readonly picture: Picture;
  readonly orientation?: number;
  readonly focal?: number | null;
}

/** The sample photos of a job. */
export const samplePhotos = (set: string, job: Job): Promise<SetPhoto[]> =>
  Promise.all(job.shots.map(async ({ photo: name }) => ({ name, picture: await samplePixels(set, name) })));

const looked = new WeakMap<Picture, Map<string, ReturnType<typeof lookAt>>>();

/** What a look at a photo gives, once for each picture: it hangs on nothing but the picture, how it is turned, and its stated focal length. */
export function lookOf({ name, picture, orientation = 1, focal = SAMPLE_FOCAL }: SetPhoto): ReturnType<typeof lookAt> {
  let known = looked.get(picture);
  if (!known) looked.set(picture, (known = new Map()));
  const key = `${orientation} ${focal}`;
  let found = known.get(key);
  const photo = { name, picture, orientation, focal };
  if (!found) known.set(key, (found = lookAt(photo, { photo: name, up: '', front: '' })));
  return found;
}

/** A set whose photos were looked at, as the page does it: each once, whatever is asked of them. */
export function added(job: Asked, photos: readonly SetPhoto[]): Measurement {
  const measurement = createMeasurement(job);
  for (const photo of photos) measurement.take(photo.name, lookOf(photo));
  return measurement;
}

const numbers = new WeakMap<Picture, number>();
let pictures = 0;
const numberOf = (picture: Picture): number => {
  let number = numbers.get(picture);
  if (number === undefined) numbers.set(picture, (number = pictures++));
  return number;
};
const results = new Map<string, Result<MeasureResult, MeasureFailure>>();

/** What a set of photos is measured as; the same photos asked about alike are measured once (that they give the same again has tests of its own). */
export function measured(job: Asked, photos: readonly SetPhoto[]): Result<MeasureResult, MeasureFailure> {
  const key = JSON.stringify([job, photos.map(({ picture, ...more }) => [numberOf(picture), more])]);
  let result = results.get(key);
  if (!result) results.set(key, (result = added(job, photos).finish()));
  return result;
}

/** What became of each photo: "used", or its status and code. */
export const fates = (outcome: Result<MeasureResult, MeasureFailure>): string[] =>
  (outcome.ok ? outcome.value : outcome.error).photos.map(({ status, code }) =>
    code === null ? status : `${status}: ${code}`,
  );

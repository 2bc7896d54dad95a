import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { loadCv } from '../../src/cli/opencv-node.ts';
import { focalPx } from '../../src/photo/exif-focal.ts';
import { jobMessage } from '../../src/text/job-faults.ts';
import { parseJob } from '../../src/formats/job.ts';
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

export function added(job: Job, photos: readonly SetPhoto[]): Measurement {
  const measurement = createMeasurement(cv, job);
  for (const { focal = SAMPLE_FOCAL, ...photo } of photos) measurement.addPhoto({ ...photo, focal });
  return measurement;
}

export const measured = (job: Job, photos: readonly SetPhoto[]): Result<MeasureResult, MeasureFailure> =>
  added(job, photos).finish();

/** What became of each photo: "used", or its status and code. */
export const fates = (outcome: Result<MeasureResult, MeasureFailure>): string[] =>
  (outcome.ok ? outcome.value : outcome.error).photos.map(({ status, code }) =>
    code === null ? status : `${status}: ${code}`,
  );

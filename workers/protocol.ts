import type { Asked } from '../src/measure/asked.ts';
import type { SeenNumbers, SeenPicture } from '../src/measure/seen-numbers.ts';
import type { MeasureFailure, MeasureResult, PhotoResult, Progress, SoFar } from '../src/formats/result.ts';
import type { Foreseen } from '../src/report/record/foreseen.ts';
import type { Result } from '../src/result.ts';

/** Raised with every change of what crosses: a page refuses a worker with another number (an old one from a cache). */
export const PROTOCOL = 12;

/** A photo as the user gave it. */
export interface PhotoFile {
  readonly name: string;
  /** The whole file; whoever sends it has an empty buffer afterwards. */
  readonly bytes: ArrayBuffer;
}

/** What every worker of the project answers to. */
export interface WorkerApi {
  readonly protocol: number;
}

/** A photo taken into the set. */
export interface AddedPhoto {
  readonly judged: PhotoResult;
  /** The upright photo made small, for lists; the receiver owns it. Null where the photo was not decoded. */
  readonly thumbnail: ImageBitmap | null;
}

/** What the photos show of a die's numbers, and its faces as a net of the real die: clear where no photo shows it. */
export interface SeenDie extends SeenNumbers {
  readonly net: SeenPicture;
  readonly netAbout: NetAbout;
}

/** What a net of faces is: its scale (null where it shows none), the photo that each face is taken from, and faces that no photo shows. */
export interface NetAbout {
  readonly umPerPx: number | null;
  readonly faces: readonly { readonly face: string; readonly photo: string }[];
  readonly unseen: readonly string[];
}

/** Where measuring stands, as it crosses. */
export interface ToldProgress extends Omit<Progress, 'soFar'> {
  readonly soFar: SoFar | null;
}

/** Measures one set of photos at a time: `open`, then `add` for each photo, then `finish`. */
export interface VisionApi extends WorkerApi {
  /** Answers once the worker stands. */
  ready(): void;
  /** Begins a set, an earlier one being forgotten; or asks otherwise of the photos that are there already (`again`). */
  open(asked: Asked, again: boolean): void;
  /** Which numbers the photos added show, with their faces to look at; nothing is measured. */
  numbers(): Promise<Result<SeenDie, MeasureFailure>>;
  /**
   * Decodes and judges a photo that is asked about. Takes `photo.bytes`; the reply owns its thumbnail. Several may be under way: they are judged in
   * the order in which they were handed over.
   */
  add(photo: PhotoFile): Promise<AddedPhoto>;
  /** What is known of the die from the photos added; null where that is nothing yet. Asked for after `numbers`, it costs some tens of milliseconds a photo. */
  soFar(): Promise<SoFar | null>;
  /** Measures the set from the photos added. It can be added to, and finished again. */
  finish(onProgress: (progress: ToldProgress) => void): Promise<Result<MeasureResult, MeasureFailure>>;
  /** What is to be said of a result before the die is thrown: some tens of milliseconds that the page's own thread is spared. */
  foresee(result: MeasureResult): Promise<Foreseen>;
  /**
   * Measures photos that nobody asked about, beside whatever set is open; nothing is kept of it. Takes the photos' bytes.
   *
   * @returns  Null where it was given up: `makeWay` or `open` end it at its next step, some tenths of a second later at most.
   */
  unasked(asked: Asked, photos: readonly PhotoFile[]): Promise<Result<MeasureResult, MeasureFailure> | null>;
  /** Something will be asked for: what is done unasked ends. */
  makeWay(): void;
}

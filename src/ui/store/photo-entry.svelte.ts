import type { PhotoResult } from '../../formats/result.ts';
import { newId } from './records.ts';

/** A photo of the set as the person sees it: the file, what it shows, and what was found in it. */
export class PhotoEntry {
  /** Under which its file is kept. */
  id = $state('');
  readonly file: File;
  /** Unlike any other in the set. */
  readonly name: string;
  /** When the photo was taken as its EXIF says, milliseconds of the camera's clock; null where it does not. */
  readonly taken: number | null;
  /** What stands up and in front, as the person or a job file said, or as the shot list has it. */
  up = $state('');
  front = $state('');
  /** Whether somebody said so; the shot list changes nothing then. */
  chosen = $state(false);
  included = $state(true);
  judging = $state(false);
  judged = $state.raw<PhotoResult | null>(null);
  thumbnail = $state.raw<ImageBitmap | null>(null);
  #url: string | null = null;

  constructor(file: File, name: string, taken: number | null = null, id = newId()) {
    this.file = file;
    this.name = name;
    this.taken = taken;
    this.id = id;
  }

  /** Address under which the page shows the photo; lives as long as the page. */
  get url(): string {
    return (this.#url ??= URL.createObjectURL(this.file));
  }

  say(up: string, front: string): void {
    this.up = up;
    this.front = front;
    this.chosen = true;
  }
}

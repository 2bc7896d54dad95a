import type { PhotoResult } from '../../measure/types.ts';

/** A photo of the set as the person sees it: the file, what it shows, and what was found in it. */
export class PhotoEntry {
  readonly file: File;
  /** Unlike any other in the set. */
  readonly name: string;
  /** Address under which the page shows the photo; lives as long as the page. */
  readonly url: string;
  /** What stands up and in front, as the person or a job file said, or as the shot list has it. */
  up = $state('');
  front = $state('');
  /** Whether somebody said so; the shot list changes nothing then. */
  chosen = $state(false);
  included = $state(true);
  judging = $state(false);
  judged = $state.raw<PhotoResult | null>(null);
  thumbnail = $state.raw<ImageBitmap | null>(null);

  constructor(file: File, name: string) {
    this.file = file;
    this.name = name;
    this.url = URL.createObjectURL(file);
  }

  say(up: string, front: string): void {
    this.up = up;
    this.front = front;
    this.chosen = true;
  }
}

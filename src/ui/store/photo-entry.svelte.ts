import type { NumbersFrom, PhotoResult } from '../../formats/result.ts';
import type { SeenPhoto } from '../../measure/seen-numbers.ts';
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
  /** What the person or a job file said stands up and in front; empty where nobody did. */
  #said = $state.raw({ up: '', front: '' });
  /** Whether somebody said so. */
  chosen = $state(false);
  /** What the faces tell, with pictures; null before they were looked at. */
  seen = $state.raw<SeenPhoto | null>(null);
  /** How the die was meant to be laid down for it; null where no shot list asked. */
  planned = $state.raw<{ readonly up: string; readonly front: string } | null>(null);
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

  /** Number up: what somebody said, else what was read from the faces; empty where it is not known. */
  get up(): string {
    return this.chosen ? this.#said.up : (this.#read?.up ?? '');
  }

  /** Number in front, like `up`. */
  get front(): string {
    return this.chosen ? this.#said.front : (this.#read?.front ?? '');
  }

  /** Where they come from; null where they are not known. */
  get numbersFrom(): NumbersFrom | null {
    if (!this.chosen) return this.#read === null ? null : 'read';
    return this.seen?.from === 'confirmed' ? 'confirmed' : 'given';
  }

  /** Whether the number up was read and the front is open: such a photo is measured, and the outlines tell the front where they can. */
  get frontOpen(): boolean {
    return !this.chosen && this.up !== '' && this.front === '';
  }

  /** The numbers as read, now or when the photo was last judged: then outlines may have told a front that no face tells. */
  get #read(): { readonly up: string; readonly front: string } | null {
    const { seen, judged } = this;
    const before = judged?.numbersFrom === 'read' ? { up: judged.up, front: judged.front } : null;
    if (seen === null) return before;
    if (seen.up === null) return null;
    return before?.up === seen.up && seen.front === null ? before : { up: seen.up, front: seen.front ?? '' };
  }

  say(up: string, front: string): void {
    this.#said = { up, front };
    this.chosen = true;
  }

  /** Takes back what was said: what the faces tell counts again. */
  unsay(): void {
    this.#said = { up: '', front: '' };
    this.chosen = false;
  }
}

import type { DieSet } from './die-set.svelte.ts';
import { thumbnailFile } from './laid-out.ts';
import type { PhotoEntry } from './photo-entry.svelte.ts';
import { quota } from './quota.svelte.ts';
import type { PhotoRecord, ThumbnailRecord } from './records.ts';
import type { Writer } from './writer.svelte.ts';

/** Keeps the files of photos and their small pictures, each written once, and knows every photo that undoing may bring back. */
export class KeptPhotos {
  readonly #writer: Writer;
  /** Ids of files that stand in the store or wait for it. */
  readonly #files = new Set<string>();
  readonly #photos = new Map<string, PhotoEntry>();

  constructor(writer: Writer) {
    this.#writer = writer;
  }

  find(id: string): PhotoEntry | undefined {
    return this.#photos.get(id);
  }

  /** Writes a photo's file and small picture where they are not written yet. */
  follow(set: DieSet, photo: PhotoEntry): void {
    const { id, name, file, thumbnail } = photo;
    this.#photos.set(id, photo);
    if (!this.#files.has(id)) {
      this.#files.add(id);
      void quota.ask();
      const put = { id, die: set.id, name, file };
      this.#writer.mark(`photos:${id}`, null, () => ({ store: 'photos', put }), true);
    }
    if (thumbnail === null || this.#files.has(smallOf(id))) return;
    this.#files.add(smallOf(id));
    void thumbnailFile(thumbnail).then((small) => {
      if (small === null) return;
      const put = { id, die: set.id, file: small };
      this.#writer.mark(`thumbnails:${id}`, null, () => ({ store: 'thumbnails', put }), true);
    });
  }

  /** A set as it was read. Files of photos that had been taken out of it go now. */
  laid(set: DieSet, photos: readonly PhotoRecord[], small: readonly ThumbnailRecord[]): void {
    for (const { id } of photos) this.#files.add(id);
    for (const { id } of small) this.#files.add(smallOf(id));
    for (const photo of set.photos) this.#photos.set(photo.id, photo);
    for (const { id } of photos) {
      if (set.photos.some((photo) => photo.id === id)) continue;
      this.#files.delete(id);
      this.#files.delete(smallOf(id));
      this.#writer.mark(`photos:${id}`, null, () => ({ store: 'photos', remove: id }));
      this.#writer.mark(`thumbnails:${id}`, null, () => ({ store: 'thumbnails', remove: id }));
    }
  }
}

const smallOf = (id: string): string => `small-${id}`;

import { success } from '../../result.ts';
import type { DieRecord, FoundRecord, PhotoRecord, ThumbnailRecord } from './records.ts';
import type { Card } from './cards.svelte.ts';
import { DieSet } from './die-set.svelte.ts';
import { PhotoEntry } from './photo-entry.svelte.ts';

/** A kept die, as it lay on the bench. A photo whose file was not kept stands there empty, and is judged as missing. */
export async function laidOut(
  die: DieRecord,
  found: FoundRecord | null,
  photos: readonly PhotoRecord[],
  small: readonly ThumbnailRecord[],
  card: Card | null,
): Promise<DieSet> {
  const entries = new Map<string, PhotoEntry>();
  for (const { id, name, file } of photos) {
    const photo = new PhotoEntry(new File([file], name, { type: file.type }), shotName(die, id) ?? name, null, id);
    photo.judged = found?.judged[id] ?? null;
    const thumbnail = small.find((each) => each.id === id);
    photo.thumbnail = thumbnail === undefined ? null : await createImageBitmap(thumbnail.file).catch(() => null);
    entries.set(id, photo);
  }
  const set = new DieSet();
  set.restore(die, (id) => entries.get(id), card);
  const outcome = found?.outcome ?? null;
  if (outcome !== null) set.outcome = { job: outcome.job, measured: success(outcome.result) };
  return set;
}

const shotName = (die: DieRecord, photo: string): string | undefined =>
  die.shots.find((shot) => shot.photo === photo)?.name;

/** A thumbnail as a small file; null where the browser has no memory for it. */
export async function thumbnailFile(bitmap: ImageBitmap): Promise<Blob | null> {
  try {
    const canvas = new OffscreenCanvas(bitmap.width, bitmap.height);
    canvas.getContext('2d')!.drawImage(bitmap, 0, 0);
    return await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.85 });
  } catch {
    return null;
  }
}

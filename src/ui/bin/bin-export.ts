import { noteIn } from '../kit/note-in.ts';
import { reasonIn } from './bin-words.ts';
import { binCsv, cropOf, type Said } from '../../bin/csv.ts';
import type { BinPhoto } from '../../bin/types.ts';
import type { BinEntry, BinRoom } from './bin-room.svelte.ts';

/** Longest side of a die's picture in the list, px. */
const CROP = 96;

/** The list with a small picture of each die, as a data address in its last column. */
export async function listWithCrops(room: BinRoom): Promise<string> {
  const photos = room.entries.flatMap(({ judged }) => (judged ? [judged] : []));
  const plain = binCsv(
    photos,
    (photo, index) =>
      room.isOverruled(photo, index) ? room.verdictOf(photo, index, dieAt(photos, photo, index)) : null,
    SAID,
  );
  const [head, ...lines] = plain.trimEnd().split('\r\n');
  const crops: string[] = [];
  for (const entry of room.entries) if (entry.judged) crops.push(...(await cropsOf(entry, entry.judged)));
  return `${[`${head!},crop`, ...lines.map((line, i) => `${line},${crops[i] ?? ''}`)].join('\r\n')}\r\n`;
}

/** In the language in use. */
const SAID: Said = {
  die: (die) => die.reasons.map(reasonIn).join('; '),
  photo: ({ notes }) => notes.map((n) => Object.values(noteIn(n)).join(' ')).join(' '),
};

const dieAt = (photos: readonly BinPhoto[], name: string, index: number): BinPhoto['dice'][number] =>
  photos.find((p) => p.photo === name)!.dice[index]!;

/** One picture per line of the list: a photo that was left out has one line and no picture. */
async function cropsOf({ file }: BinEntry, photo: BinPhoto): Promise<string[]> {
  if (photo.status === 'left-out') return [''];
  const bitmap = file && (await createImageBitmap(file, { imageOrientation: 'from-image' }).catch(() => null));
  if (!bitmap) return photo.dice.map(() => '');
  const canvas = document.createElement('canvas');
  const out = photo.dice.map((die) => {
    const { left, top, width, height } = cropOf(die, photo.width, photo.height);
    const shrink = Math.min(1, CROP / Math.max(width, height));
    canvas.width = Math.max(1, Math.round(width * shrink));
    canvas.height = Math.max(1, Math.round(height * shrink));
    canvas.getContext('2d')?.drawImage(bitmap, left, top, width, height, 0, 0, canvas.width, canvas.height);
    return `"${canvas.toDataURL('image/jpeg', 0.7)}"`;
  });
  bitmap.close();
  return out;
}

import type { FacesPicture } from '../../formats/faces-picture.ts';
import type { MeasureResult } from '../../formats/result.ts';
import { base64 } from '../../formats/base64.ts';
import type { ReportPicture } from '../../report/forms/report-pictures.ts';
import type { SeenDie } from '../../../workers/protocol.ts';
import { partOfPhoto } from '../kit/die-picture.ts';
import { dieView } from '../kit/outline-drawing.ts';
import type { DieSet } from '../store/die-set.svelte.ts';

/** Width of a small picture, px, and quality of its JPEG. */
const WIDTH = 280;
const QUALITY = 0.8;

/** The dice of a result's photos, made small, for a page to be sent; photos that cannot be read any more are left out. */
export async function reportPictures(set: DieSet, result: MeasureResult): Promise<ReportPicture[]> {
  const pictures: ReportPicture[] = [];
  for (const { photo, outline } of result.photos) {
    const file = set.photos.find(({ name }) => name === photo)?.file;
    if (file === undefined || outline === null) continue;
    const part = await partOfPhoto(file, dieView(outline), WIDTH);
    if (part === null) continue;
    const canvas = new OffscreenCanvas(part.width, part.height);
    canvas.getContext('2d')!.drawImage(part, 0, 0);
    part.close();
    const blob = await canvas.convertToBlob({ type: 'image/jpeg', quality: QUALITY });
    pictures.push({ photo, jpeg: new Uint8Array(await blob.arrayBuffer()) });
  }
  return pictures;
}

/** The picture of what was read of a die: a report is made anew with every letter that is typed, its picture is not. */
const pictured = new WeakMap<SeenDie, Promise<FacesPicture | null>>();

/** The die's faces, unfolded, for a record; null where the photos were not read in this sitting, or show none, or where no picture can be made here. */
export function facesPicture({ seen }: DieSet): Promise<FacesPicture | null> {
  const numbers = seen?.numbers;
  if (!numbers) return Promise.resolve(null);
  const known = pictured.get(numbers) ?? netPicture(numbers).catch(() => null);
  pictured.set(numbers, known);
  return known;
}

async function netPicture({ net, netAbout }: SeenDie): Promise<FacesPicture | null> {
  const { umPerPx } = netAbout;
  if (umPerPx === null) return null;
  const { width, height, rgba } = net;
  const flat = new OffscreenCanvas(width, height);
  flat.getContext('2d')!.putImageData(new ImageData(new Uint8ClampedArray(rgba), width, height), 0, 0);
  // JPEG knows no clear pixels: they become paper.
  const canvas = new OffscreenCanvas(width, height);
  const context = canvas.getContext('2d')!;
  context.fillStyle = '#fff';
  context.fillRect(0, 0, width, height);
  context.drawImage(flat, 0, 0);
  const blob = await canvas.convertToBlob({ type: 'image/jpeg', quality: QUALITY });
  const jpeg = base64(new Uint8Array(await blob.arrayBuffer()));
  return { jpeg, width, height, ...netAbout, umPerPx };
}

import type { MeasureResult } from '../../formats/result.ts';
import type { ReportPicture } from '../../report/forms/report-pictures.ts';
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

import { base64, fromBase64 } from '../../formats/base64.ts';
import { fileName } from '../record/plain-text.ts';
import { escaped } from '../../figures/svg.ts';
import type { Language } from '../../text/language.ts';
import { REPORT_WORDS } from '../content/words/report-words.ts';

/** A photo's die made small, to be read along; no part of what a report's digest covers. */
export interface ReportPicture {
  readonly photo: string;
  /** A whole JPEG file. */
  readonly jpeg: Uint8Array;
}

const BEGINNING = '<section id="evencast-pictures">';
const FIGURE =
  /<figure><img alt="([^"<>]*)" src="data:image\/jpeg;base64,([A-Za-z0-9+/=]+)"><figcaption>[^<>]*<\/figcaption><\/figure>/g;

/** The pictures as a part of a page; empty without pictures. */
export function picturesHtml(pictures: readonly ReportPicture[], language: Language): string {
  const words = REPORT_WORDS[language].file;
  if (pictures.length === 0) return '';
  const figures = pictures.map(({ photo, jpeg }) => {
    const name = escaped(fileName(photo));
    return `<figure><img alt="${name}" src="data:image/jpeg;base64,${base64(jpeg)}"><figcaption>${name}</figcaption></figure>`;
  });
  return `${BEGINNING}<h2>${words.pictures}</h2><p class="small">${words.picturesAbout}</p><div class="gallery">${figures.join('')}</div></section>`;
}

/**
 * The pictures that a page carries, so that it can be written anew from its data and compared: whatever else stands among them is then
 * missing, and told.
 */
export function picturesIn(html: string, photos: readonly string[]): ReportPicture[] {
  const from = html.indexOf(BEGINNING);
  if (from < 0) return [];
  const to = html.indexOf('</section>', from);
  const names = new Map(photos.map((photo) => [escaped(fileName(photo)), photo]));
  return [...html.slice(from, to).matchAll(FIGURE)].flatMap(([, name, data]) => {
    const photo = names.get(name!);
    const jpeg = fromBase64(data!);
    return photo === undefined || jpeg === null ? [] : [{ photo, jpeg }];
  });
}

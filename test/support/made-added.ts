import type { Added } from '../../src/measure/look.ts';
import type { Crop } from '../../src/vision/picture.ts';
import type { Region } from '../../src/vision/region.ts';
import type { Survey } from '../../src/vision/survey.ts';

/** A picture in which nothing can be looked at. */
export const NO_CROP: Crop = { left: 0, top: 0, width: 0, height: 0, channels: 3, data: new Uint8Array() };

/** A thing of no extent, whole and by itself. */
export const NO_REGION: Region = {
  grain: 1,
  outline: new Float64Array(),
  area: 0,
  cut: false,
  solid: true,
  trimmed: false,
  covered: null,
  spare: null,
};

/** A photo that was looked at, without remarks: `change` and, of its survey, `seen` say what differs from one that shows nothing of note. */
export function madeAdded(change: Partial<Omit<Added, 'survey'>> = {}, seen: Partial<Survey> = {}): Added {
  return {
    shot: { photo: 'a.jpg', up: '1', front: '2' },
    focal: null,
    orientation: 1,
    blur: null,
    coding: null,
    notes: [],
    ...change,
    survey: {
      width: 3000,
      height: 2240,
      sight: { card: new Float64Array(), picture: new Float64Array() },
      markers: 0,
      spread: null,
      stage: [200, 200, 200],
      regions: [],
      crop: NO_CROP,
      grain: null,
      light: { columns: 0, rows: 0, light: new Float32Array(), bare: 1 },
      ...seen,
    },
  };
}

/** Good files and records, from which broken ones are made. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { DIE_KINDS } from '../../src/geometry/solid.ts';
import { CLASSES } from '../../src/judging/tolerance.ts';
import { demoLot } from '../../src/lots/demo-lot.ts';
import { bareAsked } from '../../src/measure/asked.ts';
import { reportRecord } from '../../src/report/record/record.ts';
import { crc32 } from '../../src/ui/store/crc32.ts';
import { RECORDS } from '../../src/formats/kept.ts';
import { zip } from '../../src/ui/store/zip.ts';
import { someDie } from '../support/kept.ts';
import { madeResult } from '../support/made-result.ts';
import { encoded, plainJson } from './inputs.ts';
import { bareInput } from '../support/bare-input.ts';

export const RESULTS = DIE_KINDS.map((kind) => ({ ...madeResult(kind), message: null }));
export const RECORD = reportRecord({
  ...bareInput(madeResult('d8')),
  about: { die: 'walnut' },
  tolerance: CLASSES.moulded,
});
export const SMALL_LOT = { ...demoLot(), dice: demoLot().dice.slice(0, 6) };
export const JOB_FILE: unknown = JSON.parse(
  readFileSync(join(import.meta.dirname, '../../samples/d6/job.json'), 'utf8'),
);
export const PHOTO = new Uint8Array(readFileSync(join(import.meta.dirname, '../../samples/d6/01-1.jpg')));
// Ids of their own would make other inputs of the same numbers.
export const DIE = someDie(0, {
  id: 'diediedie1',
  shots: someDie(2).shots.map((shot, i) => ({ ...shot, photo: `photophoto${i}` })),
});
export const ROOM = {
  version: RECORDS,
  id: 'roomroom1',
  revision: 1,
  room: 'lots',
  changed: 1,
  data: { lot: plainJson(SMALL_LOT) },
};
export const CARD = {
  version: RECORDS,
  id: 'cardcard1',
  revision: 1,
  name: 'a',
  bars: { x: '100', y: '100', u: '0.05' },
  made: 1,
};
export const FOUND = {
  version: RECORDS,
  id: DIE.id,
  judged: Object.fromEntries(DIE.shots.map(({ photo }, i) => [photo, madeResult('d6').photos[i]])),
  outcome: {
    job: { ...bareAsked('d6', []), die: 'd6', shots: [{ photo: '01.jpg', up: '1', front: '2' }] },
    result: madeResult('d6'),
  },
};

export const ARCHIVE = zip([
  {
    name: 'evencast.json',
    content: new Blob([
      JSON.stringify({ format: 'evencast-dice/1', dice: [DIE], found: [FOUND], cards: [CARD], rooms: [ROOM] }),
    ]),
  },
  ...DIE.shots.map(({ photo }) => ({ name: `photos/${DIE.id}/${photo}`, content: new Blob([PHOTO.slice(0, 3000)]) })),
]).then(async (file) => new Uint8Array(await file.arrayBuffer()));
export const LIST = {
  format: 'evencast-dice/1',
  dice: [{ ...DIE, shots: [] }],
  found: [FOUND],
  cards: [CARD],
  rooms: [ROOM],
};

/** An archive of one stored part, made at once: `zip` takes its time. */
export function storedAlone(list: Uint8Array): Uint8Array {
  const name = encoded('evencast.json');
  const head = (size: number, fill: (view: DataView) => void): Uint8Array => {
    const view = new DataView(new ArrayBuffer(size));
    fill(view);
    return new Uint8Array(view.buffer);
  };
  const common = (view: DataView, at: number): void => {
    view.setUint16(at, 20, true);
    view.setUint32(at + 10, crc32(list), true);
    view.setUint32(at + 14, list.length, true);
    view.setUint32(at + 18, list.length, true);
    view.setUint16(at + 22, name.length, true);
  };
  const local = head(30, (view) => (view.setUint32(0, 0x04034b50, true), common(view, 4)));
  const central = head(
    46,
    (view) => (view.setUint32(0, 0x02014b50, true), view.setUint16(4, 20, true), common(view, 6)),
  );
  const start = local.length + name.length + list.length;
  const end = head(22, (view) => {
    view.setUint32(0, 0x06054b50, true);
    view.setUint16(8, 1, true);
    view.setUint16(10, 1, true);
    view.setUint32(12, central.length + name.length, true);
    view.setUint32(16, start, true);
  });
  return Uint8Array.from([local, name, list, central, name, end].flatMap((part) => [...part]));
}

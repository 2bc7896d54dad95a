import { parseArgs } from 'node:util';
import { readPhoto, type ReadPhoto, type Wish } from '../../config/reader/dice.ts';
import { founts, type Share } from '../../config/reader/founts.ts';
import { DIE_KINDS } from '../geometry/solid.ts';
import { seededRandom } from '../maths/random.ts';
import { EXIT } from './command.ts';

/** Stated chance of error above which a photo stays unread. */
const LIMIT = 1e-3;

/**
 * Reads drawn photos of dice in founts that the reader was not trained on: `npm run bench -- reader [--photos N] [--seed S] [--json]`.
 *
 * One photo in twelve carries pips, one in six is worn to half of its ink; the rest as drawn.
 */
export async function run(args: readonly string[]): Promise<number> {
  const { values } = parseArgs({
    args: [...args],
    options: {
      photos: { type: 'string', default: '2000' },
      seed: { type: 'string', default: '1' },
      share: { type: 'string', default: 'judge' },
      json: { type: 'boolean', default: false },
    },
  });
  const random = seededRandom(Number(values.seed) + 1000);
  const faces = founts(values.share as Share);
  const wishes: Wish[] = DIE_KINDS.flatMap((kind) => [{ kind }, { kind }, { kind, worn: 0 }, { kind, worn: 0 }, { kind, worn: 0 }, { kind, worn: 0.5 }]); // prettier-ignore
  wishes.push({ kind: 'd6', pips: true }, { kind: 'd6', pips: true }, { kind: 'd6', pips: true, worn: 0.5 });
  const photos = Array.from({ length: Number(values.photos) }, (_, k) =>
    readPhoto(random, faces, wishes[k % wishes.length]!),
  );
  const groups = grouped(photos);
  if (values.json) process.stdout.write(`${JSON.stringify(groups)}\n`);
  else {
    process.stdout.write(`${'group'.padEnd(28)} photos   read  wrong   faces right  below 60 deg\n`);
    for (const g of groups)
      process.stdout.write(`${g.name.padEnd(28)} ${String(g.photos).padStart(6)} ${percent(g.read)} ${String(g.wrong).padStart(6)}   ${percent(g.right)}        ${percent(g.upright)}\n`); // prettier-ignore
  }
  return Promise.resolve(EXIT.done);
}

const percent = (share: number): string => `${(100 * share).toFixed(1).padStart(5)}%`;

interface Group {
  readonly name: string;
  readonly photos: number;
  /** Share of photos read with a stated chance of error below the limit. */
  readonly read: number;
  /** Of those, photos read wrongly. */
  readonly wrong: number;
  /** Share of faces whose likeliest label was right, of all and of those slanted less than 60 degrees. */
  readonly right: number;
  readonly upright: number;
}

function grouped(photos: readonly ReadPhoto[]): Group[] {
  const group = (name: string, some: readonly ReadPhoto[]): Group => {
    const known = some.filter((p) => p.doubt < LIMIT);
    const all = some.flatMap((p) => p.faces);
    const near = all.filter((f) => f.slant < 60);
    const share = (list: readonly { right: boolean }[]): number =>
      list.filter((f) => f.right).length / Math.max(1, list.length);
    return { name, photos: some.length, read: known.length / Math.max(1, some.length), wrong: known.filter((p) => p.wrong).length, right: share(all), upright: share(near) }; // prettier-ignore
  };
  const by = (prefix: string, key: (p: ReadPhoto) => string): Group[] =>
    [...new Set(photos.map(key))].sort().map((k) =>
      group(
        `${prefix} ${k}`,
        photos.filter((p) => key(p) === k),
      ),
    );
  return [
    group('all', photos),
    ...by('kind', (p) => p.kind),
    ...by('texture', (p) => p.look.texture),
    ...by('ink gone', (p) => (p.look.worn === 0 ? 'none' : p.look.worn < 0.3 ? 'below 30 %' : '30 to 55 %')),
    ...by('print', (p) => (p.pips ? 'pips' : p.fount)),
  ];
}

import { parseArgs } from 'node:util';
import { readSet, type ReadPhoto, type Wish } from '../../config/reader/dice.ts';
import { founts, type Share } from '../../config/reader/founts.ts';
import { DIE_KINDS } from '../geometry/solid.ts';
import { CERTAINTY } from '../faces/photo-numbers.ts';
import { seededRandom } from '../maths/random.ts';
import { EXIT } from './command.ts';

/** Photos of each die. */
const OF_EACH = 4;

/**
 * Reads drawn photos of dice in founts that the reader was not trained on, as the program does: faces of all photos of a die together.
 * `npm run bench -- reader [--photos N] [--seed S] [--flat | --corners] [--json]`.
 *
 * One die in thirteen carries pips, one in six is worn to half of its ink; the rest as drawn. Ranges: `config/reader/README.md`.
 * `--flat`: dice that have lost half of a print without grooves instead, of which nothing is left to see where it is gone.
 * `--corners`: d4 with a number near each corner of each face.
 */
export async function run(args: readonly string[]): Promise<number> {
  const { values } = parseArgs({
    args: [...args],
    options: {
      photos: { type: 'string', default: '2000' },
      seed: { type: 'string', default: '1' },
      share: { type: 'string', default: 'judge' },
      flat: { type: 'boolean', default: false },
      corners: { type: 'boolean', default: false },
      json: { type: 'boolean', default: false },
    },
  });
  const random = seededRandom(Number(values.seed) + 1000);
  const faces = founts(values.share as Share);
  const wishes: Wish[] = [{}, {}, { worn: 0 }, { worn: 0 }, { worn: 0 }, { worn: 0.5 }].flatMap((w) =>
    DIE_KINDS.map((kind) => ({ kind, ...w })),
  );
  wishes.splice(8, 0, { kind: 'd6', pips: true }, { kind: 'd6', pips: true }, { kind: 'd6', pips: true, worn: 0.5 });
  if (values.flat) wishes.splice(0, wishes.length, ...DIE_KINDS.map((kind) => ({ kind, worn: 0.5, flat: true })));
  if (values.corners)
    wishes.splice(0, wishes.length, { kind: 'd4', corners: true }, { kind: 'd4', corners: true, worn: 0 });
  const sets = Math.ceil(Number(values.photos) / OF_EACH);
  const photos = Array.from({ length: sets }, (_, k) =>
    readSet(random, faces, wishes[k % wishes.length]!, OF_EACH),
  ).flat();
  const groups = grouped(photos);
  const held = reliability(photos);
  if (values.json) process.stdout.write(`${JSON.stringify({ groups, held })}\n`);
  else {
    process.stdout.write(`${'group'.padEnd(28)} photos   read  wrong   alone  wrong  faces right  below 60 deg\n`);
    for (const g of groups)
      process.stdout.write(
        `${g.name.padEnd(28)} ${String(g.photos).padStart(6)} ${percent(g.read)} ${String(g.wrong).padStart(6)}  ${percent(g.alone)} ${String(g.aloneWrong).padStart(6)}   ${percent(g.right)}        ${percent(g.upright)}\n`,
      );
    process.stdout.write('\nstated chance of being wrong   photos  stated  found wrong\n');
    for (const h of held)
      process.stdout.write(
        `${`${h.from} to ${h.to}`.padEnd(28)} ${String(h.photos).padStart(8)} ${h.stated.toFixed(2).padStart(7)} ${String(h.wrong).padStart(12)}\n`,
      );
  }
  return Promise.resolve(EXIT.done);
}

const percent = (share: number): string => `${(100 * share).toFixed(1).padStart(5)}%`;

/** Bounds of stated chances within which statements are counted together; the first is what counts as known. */
const STATED = [0, 1e-4, CERTAINTY.certain, 0.01, 0.03, 0.1, 0.3, 0.6, 1] as const;

/** How many errors photos stated between two bounds, and how many there are. */
interface Held {
  readonly from: number;
  readonly to: number;
  readonly photos: number;
  readonly stated: number;
  readonly wrong: number;
}

function reliability(photos: readonly ReadPhoto[]): Held[] {
  return STATED.slice(1).map((to, k) => {
    const from = STATED[k]!;
    const some = photos.filter(({ chance }) => (chance > from || k === 0) && chance <= to);
    return {
      from,
      to,
      photos: some.length,
      stated: some.reduce((s, p) => s + p.chance, 0),
      wrong: some.filter((p) => !p.likeliest).length,
    };
  });
}

interface Group {
  readonly name: string;
  readonly photos: number;
  /** Share of photos whose number up is told, all photos of a die together, and how many of those are wrong. */
  readonly read: number;
  readonly wrong: number;
  /** The same of each photo by itself. */
  readonly alone: number;
  readonly aloneWrong: number;
  /** Share of faces whose likeliest label was right, of all and of those slanted less than 60 degrees. */
  readonly right: number;
  readonly upright: number;
}

function grouped(photos: readonly ReadPhoto[]): Group[] {
  const group = (name: string, some: readonly ReadPhoto[]): Group => {
    const told = (of: 'alone' | 'together'): number =>
      some.filter((p) => p[of] !== null).length / Math.max(1, some.length);
    const wrong = (of: 'alone' | 'together'): number => some.filter((p) => p[of] === false).length;
    const all = some.flatMap((p) => p.faces);
    const near = all.filter((f) => f.slant < 60);
    const share = (list: readonly { right: boolean }[]): number =>
      list.filter((f) => f.right).length / Math.max(1, list.length);
    return {
      name,
      photos: some.length,
      read: told('together'),
      wrong: wrong('together'),
      alone: told('alone'),
      aloneWrong: wrong('alone'),
      right: share(all),
      upright: share(near),
    };
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

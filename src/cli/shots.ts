import { parseArgs } from 'node:util';
import { DIE_KINDS, type DieKind } from '../geometry/solid.ts';
import { TENS } from '../geometry/numbering.ts';
import { EFFORTS, MOST_PLANNED, PHOTO_COUNTS, ShotPlanner, type Effort, type ShotPlan } from '../shots/plan.ts';
import { degrees } from '../units.ts';
import { EXIT } from './command.ts';
import { print, say } from './streams.ts';

const usage = `usage: npm run -s evencast -- shots --die DIE [--photos N | --effort EFFORT] [--bars N] [--tens] [--json]
  --die     ${DIE_KINDS.join(', ')}
  --photos  how many photos you are willing to take, 1 to ${MOST_PLANNED}
  --effort  ${EFFORTS.join(', ')}; usual where neither is given
  --bars    check bars of the card that you measured, 0 (where left out), 1 or 2
  --tens    the d10 is numbered 00 to 90
Tells which photos to take, the most helpful first, and the doubt (U95) to expect of each axis.
`;

interface Options {
  readonly kind: DieKind;
  readonly count: number;
  readonly bars: 0 | 1 | 2;
  readonly tens: boolean;
  readonly json: boolean;
}

/** Plans the photos of a die. */
export function run(args: readonly string[]): Promise<number> {
  if (args.includes('--help') || args.includes('-h')) {
    print(usage);
    return Promise.resolve(EXIT.done);
  }
  const options = read(args);
  if (typeof options === 'string') {
    say(`evencast shots: ${options}\n${usage}`);
    return Promise.resolve(EXIT.usage);
  }
  const { kind, count, bars, tens, json } = options;
  const plan = new ShotPlanner({ kind, numbering: tens ? TENS : null, bars }).plan(count);
  print(json ? `${JSON.stringify(record(kind, plan), null, 2)}\n` : plainText(kind, plan));
  return Promise.resolve(EXIT.done);
}

function read(args: readonly string[]): Options | string {
  try {
    const { values } = parseArgs({
      args: [...args],
      options: {
        die: { type: 'string' },
        photos: { type: 'string' },
        effort: { type: 'string' },
        bars: { type: 'string', default: '0' },
        tens: { type: 'boolean', default: false },
        json: { type: 'boolean', default: false },
      },
    });
    const { die, photos, effort, bars, tens, json } = values;
    if (!(DIE_KINDS as readonly (string | undefined)[]).includes(die))
      return `--die ${die ?? 'missing'}: one of ${DIE_KINDS.join(', ')} needed`;
    if (photos !== undefined && effort !== undefined) return '--photos and --effort given, one of them needed';
    if (effort !== undefined && !(EFFORTS as readonly string[]).includes(effort))
      return `--effort ${effort}: one of ${EFFORTS.join(', ')} needed`;
    if (!['0', '1', '2'].includes(bars)) return `--bars ${bars}: 0, 1 or 2 needed`;
    if (tens && die !== 'd10') return `--tens is for a d10, not for a ${die}`;
    const kind = die as DieKind;
    const count = photos === undefined ? PHOTO_COUNTS[kind][(effort ?? 'usual') as Effort] : Number(photos);
    if (!Number.isInteger(count) || count < 1 || count > MOST_PLANNED)
      return `--photos ${photos}: a whole number from 1 to ${MOST_PLANNED} needed`;
    return { kind, count, bars: Number(bars) as 0 | 1 | 2, tens, json };
  } catch (error) {
    return (error as Error).message;
  }
}

const round = (x: number): number => Number(x.toPrecision(4));
const whole = (angle: number): number => Math.round(degrees(angle));

function record(kind: DieKind, { shots, grazing, expected }: ShotPlan): unknown {
  return {
    format: 'evencast-shots/1',
    die: { kind },
    shots: shots.map(({ shot, helps }) => ({
      up: shot.up,
      front: shot.front,
      lean: whole(shot.lean),
      turn: whole(shot.turn),
      helps: helps.map(({ axis, before, after }) => ({ axis, before: round(before), after: round(after) })),
    })),
    grazing: grazing.map(({ shot, crowns }) => ({
      up: shot.up,
      front: shot.front,
      lean: Number(degrees(shot.lean).toFixed(1)),
      face: shot.grazes,
      U95: round(crowns!.after),
    })),
    expected: {
      axes: expected.axes.map(({ name, u, uDifference }) => ({
        name,
        u: round(u),
        uDifference: round(uDifference),
      })),
      meanAxis: round(expected.meanAxis),
      meanCornerRadius: round(expected.meanRadius),
    },
  };
}

function plainText(kind: DieKind, { shots, grazing, expected }: ShotPlan): string {
  const um = (u: number): string => (2000 * u).toFixed(0).padStart(6);
  const lines = [
    `${shots.length} photos of a ${kind}, the most helpful first; lean and turn in degrees`,
    `photo  ${kind === 'd4' ? 'stands on' : '       up'}  front  lean  turn  helps most`,
    ...shots.map(
      ({ shot, helps }, i) =>
        `${String(i + 1).padStart(5)}  ${shot.up.padStart(9)}  ${shot.front.padStart(5)}  ${String(whole(shot.lean)).padStart(4)}  ${String(whole(shot.turn)).padStart(4)}  ${helps.map((h) => h.axis).join(', ')}`,
    ),
    ...grazing.map(
      ({ shot, crowns }, i) =>
        `${(i === 0 ? 'crown' : '').padStart(5)}  ${shot.up.padStart(9)}  ${shot.front.padStart(5)}  ${degrees(shot.lean).toFixed(1).padStart(4)}     0  sees ${shot.grazes} edge-on: crowns leave ${(1000 * crowns!.after).toFixed(0)} um open`,
    ),
    'U95 to expect, um:   all  against the mean axis',
    ...expected.axes.map(({ name, u, uDifference }) => `${name.padStart(16)}  ${um(u)}  ${um(uDifference)}`),
  ];
  return `${lines.join('\n')}\n`;
}

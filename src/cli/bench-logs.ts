import { countedChances, evidencePath } from '../bias/log/evidence.ts';
import { dieNames, LOG_DICE, readLog, type LogDie } from '../bias/log/roll-log.ts';
import { seededRandom, type Random } from '../maths/random.ts';
import { percent, say, type Verdict } from './bench-verdict.ts';

/** What became of logs whose die had to be guessed. */
export interface Guesses {
  readonly logs: number;
  /** Not asked, and right. */
  readonly right: number;
  /** Asked: a chance below 0.95. */
  readonly asked: number;
  /** Asked, and the first named was the die. */
  readonly askedRight: number;
  /** Asked, and the die was not among those named. */
  readonly missed: number;
  /** Not asked, and wrong. */
  readonly wrong: number;
}

/** Logs of 1 to 60 rolls of all kinds in turn, half of them of a die that shows a favourite in up to 30 % of rolls beside. */
export function guesses(logs: number, seed: number): Guesses {
  const random = seededRandom(seed);
  let [right, asked, askedRight, missed, wrong] = [0, 0, 0, 0, 0];
  for (let i = 0; i < logs; i++) {
    const die: LogDie = LOG_DICE[i % LOG_DICE.length];
    const names = dieNames(die);
    const count = 1 + Math.floor(60 * random());
    const load = random() < 0.5 ? 0 : 0.3 * random();
    const any = (): string => names[Math.floor(names.length * random())];
    const favourite = any();
    const log = readLog(Array.from({ length: count }, () => (random() < load ? favourite : any())).join(' '), null);
    if (!log.ok) throw new Error(log.error.code);
    const guess = log.value.guessed!;
    if (guess.others.length > 0) {
      asked++;
      if (guess.die === die) askedRight++;
      else if (!guess.others.includes(die)) missed++;
    } else if (guess.die === die) right++;
    else wrong++;
  }
  return { logs, right, asked, askedRight, missed, wrong };
}

/** Dice from even to one that nearly always falls alike: faces, and the chance of the favoured one. */
export const LOADED: readonly (readonly [number, number])[] = [
  [4, 0.25],
  [4, 0.3],
  [6, 1 / 6],
  [6, 0.18],
  [6, 0.2],
  [6, 0.25],
  [6, 0.4],
  [6, 0.7],
  [6, 0.9],
  [20, 0.05],
  [20, 0.07],
  [20, 0.2],
  [20, 0.6],
];

/** Share of the faces' chances that lie within their interval, over `logs` logs. */
export function held([faces, most]: readonly [number, number], logs: number, rolls: number, random: Random): number {
  let inside = 0;
  for (let i = 0; i < logs; i++) {
    const counts = Array<number>(faces).fill(0);
    for (let r = 0; r < rolls; r++) counts[random() < most ? 0 : 1 + Math.floor((faces - 1) * random())]++;
    countedChances(counts).forEach(({ low, high }, f) => {
      const p = f === 0 ? most : (1 - most) / (faces - 1);
      if (low <= p && high >= p) inside++;
    });
  }
  return inside / (logs * faces);
}

/** Logs of an even die that met the rule at some roll, of `logs`. */
export function falseAlarms(faces: number, logs: number, rolls: number, random: Random): number {
  const met = (): boolean =>
    evidencePath(
      Array.from({ length: rolls }, () => Math.floor(faces * random())),
      faces,
    ).metAt !== null;
  return Array.from({ length: logs }, met).filter(Boolean).length;
}

/** The bars of roll logs; `rolls` is the length of the longest. */
export function logs(count: number, rolls: number): Verdict[] {
  const random = seededRandom(19);
  const g = guesses(count, 12);
  const sure = g.right / (g.right + g.wrong);
  say(
    `guesses on ${g.logs} logs of ${LOG_DICE.join(', ')}, 1 to 60 rolls: ${g.right} right unasked, ${g.wrong} wrong unasked, ${g.asked} asked (${g.askedRight} with the die named first, ${g.missed} with it not named)`,
  );
  const shares = LOADED.map((die) => {
    const share = held(die, count, rolls, random);
    say(`d${die[0]}, one face ${percent(die[1])}, ${rolls} rolls: ${percent(share)} of the chances within`);
    return share;
  });
  const [least, most] = [Math.min(...shares), Math.max(...shares)];
  const alarms = [4, 6, 8, 10, 12, 20, 100].map((faces) => {
    const met = falseAlarms(faces, count, 2 * rolls, random) / count;
    say(`even d${faces}, ${2 * rolls} rolls: the rule is met in ${percent(met)} of ${count} logs`);
    return met;
  });
  const worst = Math.max(...alarms);
  return [
    { bar: `guesses: ${percent(sure)} right where not asked; needed 95 %`, met: sure >= 0.95 },
    {
      bar: `guesses: the die is the one said or named in ${percent(1 - (g.wrong + g.missed) / g.logs)}; needed 95 %`,
      met: (g.wrong + g.missed) / g.logs <= 0.05,
    },
    {
      bar: `intervals hold ${percent(least)} to ${percent(most)}; needed 93 to 97 %`,
      met: least >= 0.93 && most <= 0.97,
    },
    { bar: `false alarms at most ${percent(worst)}; needed 5 %`, met: worst <= 0.05 },
  ];
}

import type { Rgb } from './pdf.ts';

export const STAGES = ['white', 'grey', 'black', 'blue', 'green'] as const;
/** Colour of the blank stage in the middle of the card. */
export type Stage = (typeof STAGES)[number];

/** Printed colours, sRGB. */
export const STAGE_COLOURS: Readonly<Record<Stage, Rgb>> = {
  white: [255, 255, 255],
  grey: [128, 128, 128],
  black: [0, 0, 0],
  blue: [40, 90, 170],
  green: [45, 135, 70],
};

export interface StageAdvice {
  readonly die: string;
  /** Best first. */
  readonly stages: readonly Stage[];
  readonly why: string;
}

/**
 * Which stage to print for which die: the colour that the die is not. Common practice; no published source.
 *
 * Lightness counts more than hue, since JPEG keeps it at full resolution and colour at half.
 */
export const STAGE_ADVICE: readonly StageAdvice[] = [
  { die: 'black or very dark', stages: ['white', 'grey'], why: 'The lighter the stage, the plainer the outline.' },
  { die: 'white, ivory or pale', stages: ['black', 'blue'], why: 'A pale die on white paper has no outline.' },
  {
    die: 'grey or metal',
    stages: ['white', 'black'],
    why: 'Metal mirrors the stage: try both and keep the one with the plainer outline.',
  },
  { die: 'red, orange or brown', stages: ['white', 'blue'], why: 'White for dark tones, blue for light ones.' },
  { die: 'yellow or gold', stages: ['blue', 'black'], why: 'Yellow is nearly as light as paper.' },
  { die: 'green', stages: ['white', 'black'], why: 'White for dark greens, black for light ones.' },
  { die: 'blue or violet', stages: ['white', 'green'], why: 'White for dark blues, green for light ones.' },
  {
    die: 'clear or cloudy',
    stages: ['black', 'grey'],
    why: 'A clear die shows the stage through itself; expect wider doubt.',
  },
  {
    die: 'of several colours',
    stages: ['grey', 'green'],
    why: 'Take a stage that none of its colours comes near, seen by eye in the photo.',
  },
];

/** Dice that a stage suits, in words: "yellow or gold; white, ivory or pale"; those for which it is the first choice come first. */
export function diceFor(stage: Stage): string {
  const place = ({ stages }: StageAdvice): number => stages.indexOf(stage);
  return STAGE_ADVICE.filter((advice) => place(advice) >= 0)
    .sort((a, b) => place(a) - place(b))
    .map(({ die }) => die)
    .join('; ');
}

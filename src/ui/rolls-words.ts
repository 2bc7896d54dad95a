import type { TableChoice } from '../bias/kernel.ts';
import type { StackCheck } from '../bias/stack.ts';
import type { ComparisonCode } from '../bias/what-if.ts';
import type { WorkerFailure } from './worker-client.ts';

type StackVerdict = NonNullable<StackCheck['verdict']>;

/** Wording of the rolls' part of the page; faults and what a log tells stand in `bias`, for the command line too. */
export const rollsWords = {
  heading: 'Rolls',
  address: '#/rolls',
  lead: 'What this means for rolls',
  table: 'Table',
  tables: {
    unknown: 'unknown (average of the three)',
    wood: 'wood',
    felt: 'felt',
    stone: 'stone or glass',
  } satisfies Record<TableChoice, string>,
  notShape: (why: string) => `Nothing can be said about rolls: ${why}.`,
  beyond: (why: string) => `At-once chances do not serve this die: ${why}. Throw it below instead.`,
  assumes:
    'Predicted from the shape alone: solid, uniform material and a rigid, level table are assumed. Intervals are at 95 %; they hold the doubt of the shape and of the model.',
  noUncertainty: "The shape comes without uncertainty: intervals hold the model's doubt alone.",

  chart: {
    title: 'Chance of each number',
    equal: (chance: string) => `equal: ${chance}`,
    about: (title: string, equal: string, parts: string) =>
      `${title}, with 95 % interval; equal is ${equal}. ${parts}.`,
    part: (name: string, value: string, low: string, high: string) => `${name}: ${value}, ${low} to ${high}`,
    less: 'less often',
    more: 'more often',
    number: 'Number',
    chance: 'Chance',
    low: 'From',
    high: 'To',
    equalColumn: 'Equal inside',
    inside: 'yes',
    above: 'no, more',
    below: 'no, less',
    key: '● chance, with its 95 % interval',
    reference: (what: string) => `◇ ${what}`,
  },

  meaning: {
    heading: 'What it means',
    even: (equal: string) =>
      `It looks even: every interval holds the equal chance of ${equal}. That is no proof of evenness.`,
    uneven: (name: string, value: string, low: string, high: string, more: boolean, equal: string) =>
      `${name} comes up ${value} of the time (${low} to ${high}), ${more ? 'more' : 'less'} often than the equal ${equal}.`,
    others: (count: number) => `Numbers whose interval leaves the equal chance out: ${count}.`,
    mean: (value: string, low: string, high: string, even: string) =>
      `Mean roll ${value} (${low} to ${high}); an even die has ${even}.`,
    per100: (value: string, low: string, high: string) => `Over 100 rolls that is ${value} points (${low} to ${high}).`,
    extreme: (which: string, value: string, low: string, high: string) => `${which}: ${value} (${low} to ${high}).`,
    highest: (name: string) => `Highest, ${name}`,
    lowest: (name: string) => `Lowest, ${name}`,
    notice: (value: string, range: string) =>
      `A test at the table needs about ${value} rolls (${range}) to notice this 4 times out of 5.`,
    range: (low: string, high: string) => `${low} to ${high}`,
    from: (low: string) => `at least ${low}`,
    target: 'Chance of at least',
    targetIs: (value: string, low: string, high: string, even: string) =>
      `${value} (${low} to ${high}); an even die: ${even}`,
  },

  throws: {
    heading: 'Throws',
    about: 'Throws the measured solid, one throw after another, on all cores. The same seed gives the same result.',
    die: 'Die',
    asMeasured: 'as measured',
    asChanged: 'as changed under "What if"',
    count: 'Throws',
    seed: 'Seed',
    throw: 'Throw',
    cancel: 'Cancel',
    wrongCount: (most: string) => `A whole number from 1 to ${most} is needed.`,
    progress: (done: string, all: string) => `${done} of ${all} throws`,
    chart: (throws: string, table: string) => `Chance of each number by ${throws} throws, table: ${table}`,
    cancelled: 'Cancelled; what was thrown until then is shown.',
    tumble: (time: string, path: string) =>
      `From its first touch it tumbles ${time} and ${path} until the outcome is decided.`,
    reference: 'at once, from the shape as measured',
  },

  whatIf: {
    heading: 'What if',
    about: 'Change a length and see what the rolls would do. Nothing here changes the measured result.',
    axis: (name: string) => `Axis ${name}`,
    face: (name: string) => `Face ${name}, twice its distance`,
    radius: 'Corner radii, of measured',
    markOn: 'A mark stands on face',
    none: 'none',
    markHeight: 'Height of the mark',
    markWidth: 'Width of the mark',
    massTo: 'Centre of mass moved towards face',
    massBy: 'Moved by',
    reset: 'Back to measured',
    impossible: (why: string) => `This die is impossible: ${why}.`,
    wrong: 'A number is needed.',
    unchanged: 'As measured: nothing is changed yet.',
    most: (name: string, change: string, more: boolean) =>
      `Largest change: ${name} comes up ${change} ${more ? 'more' : 'less'} often than as measured.`,
    ready: 'Ready comparisons: which flaw would matter on this die',
    readyAbout:
      'Each with one flaw against the same die without it, at once from the shape: the number whose chance changes most.',
    flaw: 'Flaw',
    change: 'Change',
    flaws: {
      mark: 'mark',
      'short-axis': 'axis 0.5 % short',
      tumbled: 'rounded, not sharp',
      mass: 'mass 0.1 mm off',
      crown: 'crowned face',
      trim: 'trimmed edge',
    } satisfies Record<ComparisonCode, string>,
    reference: 'as measured',
    title: 'Chance of each number, as changed',
  },

  stack: {
    heading: 'Stack check',
    about:
      'Stack dice alike with one axis upright, press the stack, measure it; then with another axis. Copies of the measured die are assumed.',
    none: 'A d4 has no opposite faces: it cannot be stacked.',
    dice: 'Dice in the stack',
    first: 'Axis upright',
    second: 'against axis',
    height: (axis: string) => `Measured height, ${axis}`,
    u: 'Standard uncertainty of a reading',
    spread: 'Spread from die to die',
    predicted: (axis: string, height: string) => `${axis} upright: ${height}`,
    difference: (value: string) => `Difference: ${value}`,
    verdict: {
      agree: 'Agree: the measured difference lies within the doubt of the predicted one, and is not explained by none.',
      disagree:
        'Disagree: the measured difference lies outside the doubt. Another die, a burr between dice, or a wrong reading?',
      'cannot-tell': 'Cannot tell: the difference is smaller than the doubt. More dice or a finer reading would help.',
    } satisfies Record<StackVerdict, string>,
    both: 'Type both heights to have them compared.',
  },

  log: {
    heading: 'Roll log',
    caution:
      'A short roll log proves little: hundreds of rolls show gross faults only. Not for disputes about games for money.',
    label: 'Rolls in order (3 17 20) or counts, one line each (20: 13)',
    tally: 'Tally',
    rolled: (name: string) => `Add a roll of ${name}`,
    undo: 'Remove last',
    clear: 'Clear',
    restore: 'Bring back',
    reading: 'Reading the log',
    tests: 'Tests against an even die',
    test: 'Test',
    statistic: 'Value',
    p: 'p',
    count: 'Count',
    names: {
      pearson: 'Chi-square',
      likelihoodRatio: 'Likelihood ratio G',
      exact: 'Multinomial, exact',
      drawn: 'Multinomial, drawn',
      repeats: 'Repeats',
      neighbours: 'Neighbours',
      runs: 'Runs',
      evidence: 'E-value',
    },
    posterior: 'Chance of each number by the rolls',
    joint: 'Chance of each number by shape and rolls together',
    reference: 'by the shape',
  },

  stopped: (why: WorkerFailure): string => {
    switch (why.code) {
      case 'cancelled':
        return 'Cancelled.';
      case 'worker-outdated':
        return 'This page is newer than a part of it that the browser kept. Load the page again.';
      case 'worker-stopped':
        return `The work stopped: ${why.detail}. Entries are still here; start it again.`;
    }
  },
  mm: 'mm',
} as const;

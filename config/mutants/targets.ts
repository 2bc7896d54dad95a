/** What is put to the test, and the tests that are to notice. */
export interface Target {
  readonly file: string;
  readonly tests: readonly string[];
}

/** Where the numbers, doubts and verdicts that people rely on are made. */
export const TARGETS: readonly Target[] = [
  { file: 'src/judging/decision.ts', tests: ['report-decision', 'units', 'answer', 'verdicts'] },
  { file: 'src/bias/log/evidence.ts', tests: ['bias-log', 'promised', 'verdicts'] },
  {
    file: 'src/bias/meaning/prediction.ts',
    tests: ['bias-prediction', 'bias-kernel', 'bias-play', 'promised', 'verdicts'],
  },
  { file: 'src/bin/judge.ts', tests: ['bin-judge', 'promised', 'verdicts'] },
  {
    file: 'src/measure/judge.ts',
    tests: ['judge-limits', 'promised', 'rough-checks', 'told-faces', 'bad-stand', 'bad-set'],
  },
  { file: 'src/fit/doubt.ts', tests: ['doubt-forms', 'doubt', 'die-fit', 'promised', 'verdicts'] },
  { file: 'src/measure/result.ts', tests: ['result-forms', 'two-lengths', 'doubt', 'measure-samples', 'promised'] },
  { file: 'src/measure/figures.ts', tests: ['result-forms', 'two-lengths', 'doubt', 'measure-samples', 'promised'] },
  { file: 'src/measure/budget.ts', tests: ['result-forms', 'two-lengths', 'measure-samples', 'promised'] },
  { file: 'src/measure/set-notes.ts', tests: ['set-notes', 'promised', 'disturbed', 'measure-samples'] },
  { file: 'src/vision/calibration.ts', tests: ['calibration-forms', 'calibration', 'ref-calibration', 'print-scale'] },
  { file: 'src/text/notes.ts', tests: ['words', 'verdicts'] },
];

/** A fault of its own, once found to pass all tests. */
export interface NamedMutant extends Target {
  readonly name: string;
  readonly was: string;
  readonly is: string;
}

export const NAMED: readonly NamedMutant[] = [
  {
    name: 'check bars believed seven times',
    file: 'src/formats/job.ts',
    was: 'CHECK_BAR_U = 0.05',
    is: 'CHECK_BAR_U = 0.007',
    tests: ['promised', 'job'],
  },
  {
    name: 'edges believed ten times',
    file: 'src/measure/budget.ts',
    was: 'commonEdge: 0.05',
    is: 'commonEdge: 0.005',
    tests: ['promised'],
  },
  {
    name: 'a disagreeing photo is never told',
    file: 'src/measure/judge.ts',
    was: 'usual: 0.6',
    is: 'usual: 0',
    tests: ['agreement', 'promised'],
  },
  {
    name: 'bins reject at 60 %',
    file: 'src/bin/judge.ts',
    was: 'SURE = 0.95',
    is: 'SURE = 0.6',
    tests: ['bin-judge', 'promised'],
  },
  {
    name: 'the model of mass is believed',
    file: 'src/bias/meaning/prediction.ts',
    was: 'mass: 0.35',
    is: 'mass: 0.0035',
    tests: ['bias-prediction', 'promised'],
  },
  {
    name: 'radius in bins without its common part',
    file: 'src/bin/judge.ts',
    was: 'Math.hypot(radius.u, BIN_TYPE_B.radius * scale)',
    is: 'radius.u',
    tests: ['bin-judge', 'promised'],
  },
  {
    name: 'decided a roll late',
    file: 'src/bias/log/evidence.ts',
    was: 'metAt = t + 1',
    is: 'metAt = t + 2',
    tests: ['bias-log', 'promised'],
  },
  {
    name: 'unknown reflectance is never told',
    file: 'src/measure/set-notes.ts',
    was: 'm.sheen.faces < 4',
    is: 'm.sheen.faces < 0',
    tests: ['promised'],
  },
];

import { reportRecord, sealed, type ReportInput } from '../../src/report/record/record.ts';
import { CLASSES } from '../../src/judging/tolerance.ts';
import { VERSION } from '../../src/report/record/version.ts';
import { madeResult } from './made-result.ts';

/** Limits of every kind. */
export const MADE_LIMITS = {
  ...CLASSES.moulded,
  size: { low: 15.9, high: 16.1 },
  edges: { low: 0.5, high: 1 },
  chances: { low: 0.9, high: 1.1 },
};

/** What a report of a made d6 is made from. */
export const MADE_INPUT: ReportInput = {
  about: { die: 'walnut', measuredBy: 'a tester', measuredOn: '2026-01-02', reportedOn: '2026-01-03' },
  result: madeResult('d6'),
  job: null,
  photos: [{ photo: '01.jpg', data: new Uint8Array([1, 2, 3]) }],
  tolerance: MADE_LIMITS,
  rule: { kind: 'guard' },
  version: VERSION,
};

/** The same with rolls put in by hand: its bytes hang on nothing but the writing of reports. */
export const MADE_RECORD = sealed({
  ...reportRecord({ ...MADE_INPUT, tolerance: { ...MADE_LIMITS, chances: null } }).data,
  software: { name: 'Evencast', version: VERSION, model: '0'.repeat(16) },
  rolls: {
    method: 'kernel',
    table: 'unknown',
    faces: [1, 2, 3, 4, 5, 6].map((n) => {
      return { name: String(n), p: 1 / 6, low: 1 / 6 - 0.01 * n, high: 1 / 6 + 0.01 * n, uLn: 0.03 };
    }),
    meanRoll: { value: 3.5, low: 3.4, high: 3.6, even: 3.5 },
    unevenness: { value: 0.01, low: 0, high: 0.03 },
    rollsToNotice: { value: 30000, low: 10000, high: null },
    looksEven: true,
    beyond: [],
    sentences: ['By its shape it looks even.'],
    thrown: null,
  },
});

/** SHA-256 of its PDF for a seller on A4, from Node and browser alike: a change of the report's look changes it, a change of machine must not. */
export const MADE_PDF = '350593562753cd9dcbceff5e82bcfd3ef61ae2970420fe3f56c9be466bdc0a94';

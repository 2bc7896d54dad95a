export type CheckKind = 'data' | 'derived' | 'throws' | 'page' | 'signature' | 'photos';

export type CheckCode =
  | 'data-agree'
  | 'data-changed'
  | 'number-wrong'
  | 'derived-agree'
  | 'derived-differ'
  | 'derived-differ-version'
  | 'throws-agree'
  | 'throws-differ'
  | 'page-agrees'
  | 'page-changed'
  | 'page-none'
  | 'page-version'
  | 'page-unknown'
  | 'unsigned'
  | 'signed'
  | 'signature-wrong'
  | 'signature-unknown'
  | 'no-digests'
  | 'photos-not-given'
  | 'photos-agree'
  | 'photos-some'
  | 'photos-differ';

/** What each outcome is an outcome of. */
export const KIND_OF: Readonly<Record<CheckCode, CheckKind>> = {
  'data-agree': 'data',
  'data-changed': 'data',
  'number-wrong': 'data',
  'derived-agree': 'derived',
  'derived-differ': 'derived',
  'derived-differ-version': 'derived',
  'throws-agree': 'throws',
  'throws-differ': 'throws',
  'page-agrees': 'page',
  'page-changed': 'page',
  'page-none': 'page',
  'page-version': 'page',
  'page-unknown': 'page',
  unsigned: 'signature',
  signed: 'signature',
  'signature-wrong': 'signature',
  'signature-unknown': 'signature',
  'no-digests': 'photos',
  'photos-not-given': 'photos',
  'photos-agree': 'photos',
  'photos-some': 'photos',
  'photos-differ': 'photos',
};

/** What a line of what differs is: whatever the file has there (a path with its two values, a photo's name), or one of these. */
export type DetailCode =
  | 'as-it-is'
  | 'stated'
  | 'found'
  | 'none-needed'
  | 'page-due'
  | 'page-found'
  | 'from-byte'
  | 'mean-axis'
  | 'range-of-axes'
  | 'axis'
  | 'axis-at-edges'
  | 'axis-u'
  | 'mean-corner-radius'
  | 'edge'
  | 'face-u'
  | 'corner-u';

/** Of a number that does not follow from the others: its name (empty where there is one alone), what is stated, what is due. */
export type DetailWords = Readonly<Record<DetailCode, (...values: string[]) => string>>;

const follows =
  (what: (name: string) => string) =>
  (name: string, stated: string, due: string): string =>
    `${what(name)}: ${stated} mm stated, ${due} mm from the other numbers`;

export const DETAIL_WORDS: DetailWords = {
  'as-it-is': (text) => text,
  stated: (text) => `stated ${text}`,
  found: (text) => `found ${text}`,
  'none-needed': () => 'found none needed',
  'page-due': (text) => `due: \u2026${text}\u2026`,
  'page-found': (text) => `found: \u2026${text}\u2026`,
  'from-byte': (at) => `from byte ${at} on`,
  'mean-axis': follows(() => 'mean axis'),
  'range-of-axes': follows(() => 'range of axes'),
  axis: follows((name) => `axis ${name}`),
  'axis-at-edges': follows((name) => `axis ${name}, at the edges`),
  'axis-u': follows((name) => `axis ${name}, u`),
  'mean-corner-radius': follows(() => 'mean corner radius'),
  edge: follows((name) => `edge ${name}`),
  'face-u': follows((name) => `face ${name}, u`),
  'corner-u': follows((name) => `corner ${name}, u`),
};

/** Words for each outcome, with the values that the check gives. */
export type CheckWords = Readonly<Record<CheckCode, (...values: string[]) => string>>;

export const CHECK_WORDS: CheckWords = {
  'data-agree': () => 'The data agree with their SHA-256 and with the number of the report.',
  'data-changed': () => 'The data were changed: their SHA-256 is not the one stated.',
  'number-wrong': (stated, due) => `The number ${stated} is not that of these data (${due}).`,
  'derived-agree': () => 'Verdicts, rolls and means follow from the measured numbers.',
  'derived-differ': () => 'Some numbers do not follow from the others:',
  'derived-differ-version': (wrote, own) =>
    `Verdicts or rolls come out differently here: Evencast ${wrote} wrote it, this is ${own}, perhaps with other kernels, which may compute differently:`,
  'throws-agree': (n) => `Its ${n} simulated throws were thrown again: the same counts.`,
  'throws-differ': (n) => `Its ${n} simulated throws, thrown again, give other counts:`,
  'page-agrees': () => 'The page says what its data say, to the last byte.',
  'page-changed': () => 'The page was changed: it does not say what its data say.',
  'page-none': () => 'A JSON file has no page beside its data.',
  'page-version': (wrote) =>
    `The page was written by Evencast ${wrote}; only that version could write it again to compare. Trust the numbers shown here, not those on the page.`,
  'page-unknown': () =>
    'The page could not be written again to compare it. Trust the numbers shown here, not those on the page.',
  unsigned: () => 'It is not signed.',
  signed: (key) => `Signed by the holder of the key ${key}. Whose key that is, you must know from elsewhere.`,
  'signature-wrong': () => 'The signature does not belong to these data.',
  'signature-unknown': () => 'It is signed, but the signature cannot be verified here.',
  'no-digests': () => 'It holds no digests of its photos.',
  'photos-not-given': (n) => `It holds the digests of ${n} photos; none were given to compare.`,
  'photos-agree': (n) => `All ${n} photos are the very ones that were measured.`,
  'photos-some': (given, n) => `${given} of ${n} photos were given; those are the ones that were measured.`,
  'photos-differ': (changed, n) => `${changed} of ${n} photos are not the ones that were measured.`,
};

import { ALTERATIONS, type Alteration } from './alterations.ts';
import { castShadows } from './cast-shadows.ts';
import { jpeg } from './encode.ts';

/** Alterations of single photos that a bin is put to as well. */
const SHARED = [
  'as it is',
  'jpeg 60',
  'jpeg 40',
  'half',
  'messenger 1600 q60',
  'motion 2 px',
  'defocus 2 px',
  'noise 6',
  'noise 12',
  'over-exposed by 0.7 EV',
  'under-exposed by 1 EV',
  'vignette',
  'warm',
  'hard shadow beside',
  'soft shadow beside',
  'lamp on the stage',
  'hair',
  'dust',
  'pencil',
  'coffee',
  'thread',
  'fluff',
  'sharpened',
] as const;

const cast = (name: string, along: number, light: number): Alteration => ({
  name,
  group: 'light',
  expected: true,
  picture: (p, { all }) => castShadows(p, all ?? [], { along, light, angle: 0.6 }),
  write: jpeg(95),
});

/** What the bench does to a bin, each under a name of its own. */
export const BIN_ALTERATIONS: readonly Alteration[] = [
  ...SHARED.map((name) => {
    const found = ALTERATIONS.find((a) => a.name === name);
    if (!found) throw new Error(`no alteration is called ${name}`);
    return found;
  }),
  cast('short hard shadow of each die', 0.35, 0.6),
  cast('long hard shadow of each die', 0.9, 0.7),
];

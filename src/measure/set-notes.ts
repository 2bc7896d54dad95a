import { passingRows, WIDTH } from '../fit/photo-rows.ts';
import { patternOf } from '../fit/doubt.ts';
import { looksMetal } from '../vision/sheen.ts';
import { SHUTTER } from '../vision/shutter.ts';
import { CONTRADICTION } from '../vision/print-scale.ts';
import { colourNote, fitNotes } from './fit-gates.ts';
import { processingOf, smoothStage } from './processing.ts';
import { medianSeen } from '../maths/linear.ts';
import { TYPE_B } from './budget.ts';
import { crownPriorOf, mostCrown } from './finish.ts';
import type { Note } from '../formats/result.ts';
import type { Measured } from './measured.ts';

/** From here on a skin's pattern is remarked on; see `patternOf`. */
const PATTERNED = 0.5;
/**
 * A photo whose stage has less than this share of the die's grain was smoothed beside the die: lighter areas have as much grain or more.
 * Only where the die has that much, display values, and no pattern that passes for it, and where the stage's own grain is smooth: a die's
 * grain is also what the light's model leaves over, and what a format's rounding leaves.
 */
const GRAIN = { beside: 0.5, least: 2, pattern: 0.3 } as const;

const percent = (v: number): string => (100 * v).toFixed(2);

export function setNotes(m: Measured): Note[] {
  const notes: Note[] = fitNotes(m);
  if (m.job.checkBar === null && m.job.checkBarY === null)
    notes.push({ code: 'scale-unchecked', seen: (200 * TYPE_B.uncheckedScale).toFixed(1), needed: 0 });
  const skew = Math.max(...m.calibration.motion.map((v) => Math.abs(v.skew)));
  // Where the points scatter still, a shear is not what is wrong.
  if (skew > SHUTTER.told && !notes.some((n) => n.code === 'card-scatter'))
    notes.push({ code: 'moved-camera', seen: percent(skew), needed: percent(SHUTTER.told) });
  const { contradiction } = m.calibration.print;
  if (contradiction && Math.abs(contradiction.bars - contradiction.card) > CONTRADICTION * contradiction.u)
    notes.push({ code: 'bars-differ', seen: percent(contradiction.bars), needed: percent(contradiction.card) });
  if (m.unlikelyCrown !== undefined)
    notes.push({
      code: 'crown-unlikely',
      seen: m.unlikelyCrown.toFixed(2),
      needed: mostCrown(crownPriorOf(m.job, m.state)).toFixed(2),
    });
  if (m.used.length === 1) notes.push({ code: 'one-photo', seen: 1 });
  if (m.sheen.faces < 4) notes.push({ code: 'sheen-unknown' });
  if (looksMetal(m.sheen)) notes.push({ code: 'metal', seen: Math.round(100 * m.sheen.light[2]) });
  const pattern = patternOf(m.rounds.map((r) => r.outline));
  if (pattern > PATTERNED) notes.push({ code: 'pattern', seen: pattern.toFixed(1), needed: PATTERNED });
  const grains = m.looks.map(({ noise }) => (noise.inside > GRAIN.least ? noise.outside / noise.inside : 1));
  const processing = processingOf(m.used);
  if (processing.note) notes.push(processing.note);
  else if (pattern < GRAIN.pattern && medianSeen(grains) < GRAIN.beside && smoothStage(m.used))
    notes.push({ code: 'portrait', seen: Math.round(100 * medianSeen(grains)) });
  const colour = colourNote(m);
  if (colour) notes.push(colour);
  const seen = new Set(m.rounds.flatMap((_, i) => [...facesTold(m, i)]));
  const unseen = m.solid.labels.filter((_, f) => !seen.has(f));
  if (unseen.length > 0) notes.push({ code: 'face-unseen', seen: unseen.join(', ') });
  return notes;
}

/** The faces of which a photo's outline says anything: on whose distance more than three of its points hang by a tenth. */
function facesTold(m: Measured, i: number): Set<number> {
  const { count, index, value } = passingRows(m.state, m.photos[i]!, i, m.rounds[i]!.outline, true);
  const points = new Int32Array(m.solid.labels.length);
  for (let p = 0; p < count * WIDTH; p++)
    if (index[p]! >= 0 && index[p]! < points.length && Math.abs(value[p]!) > 1) points[index[p]!]!++;
  return new Set([...points.keys()].filter((f) => points[f]! > 3));
}

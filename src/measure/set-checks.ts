import { median } from '../maths/linear.ts';
import type { Result } from '../result.ts';
import type { CalibrationFailure } from '../vision/calibration.ts';
import type { ShutterCalibration } from '../vision/shutter.ts';
import { sameScene } from './same-scene.ts';
import { uprightAdded, type Added } from './look.ts';
import type { Note } from '../formats/result.ts';

/** Limits of what is taken for one camera. */
export const ONE_CAMERA = {
  /** Shear or stretch of one photo against the others: a hand that moves while a shutter rolls makes 0.0005 to 0.002; more is another lens. */
  shutter: 0.0025,
  /** Focal lengths that photos' own data state, whole mm of about 26, may differ by this share. */
  statedFocal: 0.08,
  /** Focal lengths that the card shows: more than focusing changes. */
  focal: 0.02,
  /** Scatter of card points over which it is asked whether one photo is the cause, px on a picture 2000 px wide. */
  scatter: 0.12,
  /** Share of a photo's card points that may lie far off. */
  lost: 0.4,
  /** The cause is found where the scatter without a photo falls to this share. */
  healed: 0.6,
} as const;

/** What keeps photos out of their set: the same photo twice, or another size or stated focal length than most have. In order. */
export function setFaults(photos: readonly Added[]): Map<Added, Note> {
  const faults = new Map<Added, Note>();
  for (const [i, a] of photos.entries()) {
    const twin = twinOf(a, photos.slice(0, i), faults);
    if (twin) faults.set(a, { code: 'duplicate', seen: twin.shot.photo });
  }
  const left = (): Added[] => photos.filter((a) => !faults.has(a));
  const usual = mostOf(left(), (a, b) => size(a) === size(b));
  for (const a of left())
    if (usual && size(a) !== size(usual)) faults.set(a, { code: 'other-camera', seen: size(a), needed: size(usual) });
  const stated = left().filter((a) => a.focal !== null);
  const near = (a: Added, b: Added): boolean => Math.abs(a.focal! / b.focal! - 1) < ONE_CAMERA.statedFocal;
  const focal = mostOf(stated, near);
  const shown = ({ focal: f }: Added): number => Math.round(f!);
  for (const a of stated)
    if (focal && !near(a, focal))
      faults.set(a, { code: 'other-camera', as: 'focal', seen: shown(a), needed: shown(focal) });
  return faults;
}

const size = ({ survey: { width, height } }: Added): string => `${width} x ${height} px`;

/**
 * The photos in frames of one size, as far as may be: as stored, or upright where a photo was turned before it was stored.
 *
 * The size that most photos can have counts; of equals that which most have as they are, then the first.
 */
export function inOneFrame(photos: readonly Added[]): Added[] {
  const both = photos.map((a) => [a, uprightAdded(a)] as const);
  const sizes = [...new Set(both.flatMap(([a, b]) => [size(a), size(b)]))];
  const votes = sizes.map((s) =>
    both.reduce((n, [a, b]) => n + (size(a) === s ? photos.length + 1 : size(b) === s ? photos.length : 0), 0),
  );
  const usual = sizes[votes.indexOf(Math.max(...votes))];
  return both.map(([a, b]) => {
    if (size(a) === usual) return a;
    if (size(b) === usual) return b;
    // Turned by a quarter before it was stored, and no flag says so: which way, the card's points tell later.
    const quarter = a.orientation === 1 ? { ...uprightAdded({ ...a, orientation: 6 }), orientation: 8 } : a;
    return size(quarter) === usual ? { ...quarter, notes: [...quarter.notes, QUARTER] } : a;
  });
}

const QUARTER: Note = { code: 'turned-pixels', seen: 90 };

/** The first of some photos that shows the same shot, those at fault left out. */
function twinOf(a: Added, photos: readonly Added[], faults: ReadonlyMap<Added, Note>): Added | null {
  for (const b of photos) if (!faults.has(b) && (samePoints(a, b) || sameScene(a, b))) return b;
  return null;
}

function samePoints({ survey: { sight: p } }: Added, { survey: { sight: q } }: Added): boolean {
  if (p.picture.length !== q.picture.length) return false;
  for (let k = 0; k < p.picture.length; k++) if (p.picture[k] !== q.picture[k]) return false;
  return true;
}

/** The photo that most are like; of equals the first. */
function mostOf(photos: readonly Added[], alike: (a: Added, b: Added) => boolean): Added | undefined {
  const votes = photos.map((a) => photos.filter((b) => alike(b, a)).length);
  return photos[votes.indexOf(Math.max(...votes))];
}

/** A calibration that holds for photos of one camera, those it was found without, and whether two of them only may be at odds. */
export interface CameraChoice {
  readonly calibration: Result<ShutterCalibration, CalibrationFailure>;
  readonly used: readonly Added[];
  readonly odd: readonly { readonly photo: Added; readonly note: Note }[];
  /** Two photos that do not go together: nobody can say which of them is of another camera. */
  readonly doubtful: boolean;
}

/** Leaves out photos without which the rest agrees far better; `given` is the calibration of all. */
export function oneCamera(
  photos: readonly Added[],
  given: Result<ShutterCalibration, CalibrationFailure>,
  calibrated: (photos: readonly Added[]) => Result<ShutterCalibration, CalibrationFailure>,
): CameraChoice {
  let used = photos;
  let now = given;
  const odd: { photo: Added; note: Note }[] = [];
  while (used.length > 1 && suspicious(now, used)) {
    const tried = used.map((_, i) => calibrated(used.filter((_, j) => j !== i)));
    const scores = tried.map((c) => strain(c, used[0]!));
    const least = scores.indexOf(Math.min(...scores));
    if (!(scores[least]! < ONE_CAMERA.healed * strain(now, used[0]!))) break;
    if (used.length === 2) return { calibration: now, used, odd, doubtful: true };
    odd.push({ photo: used[least]!, note: oddNote(now, tried[least]!, least) });
    used = used.filter((_, i) => i !== least);
    now = tried[least]!;
  }
  return { calibration: now, used, odd, doubtful: false };
}

/** How badly a calibration holds, 1 being the limit: by scatter of the points, points thrown out, or spread of focal lengths. */
function strain(c: Result<ShutterCalibration, CalibrationFailure>, { survey }: Added): number {
  if (!c.ok) return Infinity;
  const { sigma, kept, cameras } = c.value;
  const focals = cameras.map((camera) => camera.f);
  const lost = kept.map((k) => k.filter((v) => !v).length / Math.max(1, k.length));
  return Math.max(
    sigma / (ONE_CAMERA.scatter * (survey.width / 2000)),
    Math.max(...lost) / ONE_CAMERA.lost,
    (Math.max(...focals) / Math.min(...focals) - 1) / ONE_CAMERA.focal,
    Math.max(...cameras.flatMap(({ skew = 0, stretch = 0 }) => [Math.abs(skew), Math.abs(stretch)])) /
      ONE_CAMERA.shutter,
  );
}

const suspicious = (c: Result<ShutterCalibration, CalibrationFailure>, used: readonly Added[]): boolean =>
  strain(c, used[0]!) > 1;

function oddNote(
  joint: Result<ShutterCalibration, CalibrationFailure>,
  rest: Result<ShutterCalibration, CalibrationFailure>,
  i: number,
): Note {
  const needed = rest.ok ? { needed: Number(rest.value.sigma.toFixed(2)) } : {};
  if (!joint.ok) return { code: 'other-camera', as: 'no-camera', ...needed };
  const kept = joint.value.kept[i]!;
  const share = kept.filter(Boolean).length / kept.length;
  if (share < 1 - ONE_CAMERA.lost)
    return {
      code: 'other-camera',
      as: 'points-share',
      seen: Math.round(100 * share),
      needed: 100 * (1 - ONE_CAMERA.lost),
    };
  const f = joint.value.cameras[i]!.f / median(joint.value.cameras.map((c) => c.f)) - 1;
  if (Math.abs(f) > ONE_CAMERA.focal / 2)
    return {
      code: 'other-camera',
      as: 'focal-apart',
      seen: Number((100 * f).toFixed(1)),
      needed: 50 * ONE_CAMERA.focal,
    };
  const seen = Number(joint.value.sigma.toFixed(2));
  return { code: 'other-camera', as: 'points-scatter', seen, ...needed };
}

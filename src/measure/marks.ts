import { bodyOf, seenIn, type DieState, type FitPhoto } from '../fit/die-state.ts';
import { faceFrames } from '../faces/face-frame.ts';
import type { FacePicture } from '../faces/face-picture.ts';
import { readFace } from '../faces/reader/reader.ts';
import type { MarkResult, Quantity } from '../formats/result.ts';
import type { FaceView } from '../marks/face-departure.ts';
import { faceReliefs } from '../marks/face-relief.ts';
import { viewPlan, type ViewPlan } from '../marks/face-views.ts';
import { findMarks, type FoundMark } from '../marks/find-marks.ts';
import { lightOn, prouds } from '../marks/light-side.ts';
import { markHeight, onFace, type HeightView } from '../marks/mark-height.ts';
import { bearingOf } from '../geometry/face-bearing.ts';
import { byAxis, type Vec3 } from '../geometry/vec.ts';
import type { Crop } from '../vision/picture.ts';
import type { Measured } from './measured.ts';
import { forEach, type Work } from './photo-tasks.ts';
import type { TiltedView } from './tilted-photos.ts';

/** What was looked for on the faces and found, in the result's terms. */
export interface MarksResult {
  readonly marks: readonly MarkResult[];
  readonly marksSeen: {
    /** Diameter of the smallest mark that would have been told, mm; null where the skin's own pattern hides marks. */
    readonly least: number | null;
    /** Faces that no photo shows straight enough. */
    readonly unseen: readonly string[];
  };
}

/** A mark, and where its foot stands on the die, body frame, mm. */
interface StandingMark extends FoundMark {
  readonly foot: Vec3;
  /** Proud rather than sunk. */
  readonly raised: boolean;
}

/** What the straightened faces of a die show. */
interface FacesSeen {
  readonly seen: readonly HeightView[];
  readonly views: readonly (readonly FacePicture[])[];
  readonly least: number | null;
  readonly unseen: readonly number[];
  readonly marks: readonly StandingMark[];
}

function* facesSeen(
  state: DieState,
  photos: readonly FitPhoto[],
  looks: readonly { readonly crop: Crop }[],
  tilted: readonly TiltedView[],
  meanwhile: (() => unknown) | null = null,
): Work<FacesSeen> {
  const { solid } = state;
  const seen = photos.map((photo, i) => ({
    crop: looks[i]!.crop,
    camera: photo.camera,
    cameraFromBody: seenIn(state, photo, i).cameraFromBody,
  }));
  const plan = viewPlan(solid, bodyOf(state), state.distances, [...seen, ...tilted]);
  const faces = yield* viewsOf(plan, meanwhile);
  const reliefs = faceReliefs(faces);
  const views = faces.map((list) => list.map(({ picture }) => picture));
  const { least, unseen, marks } = findMarks(reliefs);
  const lights = lightOn(solid, views, reliefs);
  const mean = state.distances.reduce((s, d) => s + d, 0) / state.distances.length;
  const standing = marks.map((mark) => {
    const frame = faceFrames(solid)[mark.face]!;
    const lift = state.distances[mark.face]! - mean;
    const middle = byAxis((k) => mean * frame.middle[k]! + lift * frame.normal[k]!);
    const foot = onFace(middle, frame.right, frame.up, mark.place);
    const raised = prouds(frame, mark, views[mark.face]!, reliefs[mark.face]!, lights) >= 0;
    return { ...mark, foot, raised };
  });
  return { seen, views, least, unseen, marks: standing };
}

/** Per face of the solid what the photos that show it straightest show of it. */
function* viewsOf({ dice, size, photos }: ViewPlan, meanwhile: (() => unknown) | null): Work<FaceView[][]> {
  const tasks = dice.flatMap(({ crop, ...die }, i) => {
    const faces = photos.flatMap((list, face) => (list.includes(i) ? [face] : []));
    return faces.length > 0 ? [{ crop, given: { ...die, faces, size } }] : [];
  });
  const found = yield* forEach('views', tasks, { meanwhile });
  const views = found.flat();
  return photos.map((list, face) =>
    list.flatMap((photo) => views.find(({ picture }) => picture.face === face && picture.photo === photo) ?? []),
  );
}

/** Marks on the straightened faces of a die that need not have been measured to its end. */
export function* marksOn(
  state: DieState,
  photos: readonly FitPhoto[],
  looks: readonly { readonly crop: Crop }[],
): Work<readonly StandingMark[]> {
  return (yield* facesSeen(state, photos, looks, [])).marks;
}

/**
 * Marks on the faces of a measured die: from the straightened faces, and their height from outlines in which their face is edge-on.
 *
 * @param meanwhile  Done here while others straighten the faces.
 */
export function* marksOf(m: Measured, tilted: readonly TiltedView[], meanwhile: () => unknown): Work<MarksResult> {
  const { state, solid } = m;
  const { seen, views, least, unseen, marks: found } = yield* facesSeen(state, m.photos, m.looks, tilted, meanwhile);
  const marks = found.map((mark): MarkResult => {
    const { foot, raised } = mark;
    const frame = faceFrames(solid)[mark.face]!;
    const reach = mark.size[0] / 2;
    const edgeOn = raised ? markHeight(seen, foot, frame.normal, reach) : null;
    const under = raised
      ? heightUnder(tilted.filter(({ base }) => base === mark.face).map((t) => t.heightOf(foot)))
      : null;
    const height = together(edgeOn, under);
    const [x, y] = mark.place;
    return {
      face: solid.labels[mark.face]!,
      bearing: bearingOf(
        solid,
        mark.face,
        byAxis((k) => x * frame.right[k]! + y * frame.up[k]!),
      ),
      place: asRead(solid.kind, views[mark.face]!, solid.labels[mark.face]!, mark),
      size: [mark.size[0], mark.size[1]],
      height,
      kind: raised ? 'proud' : 'sunk',
      from: ['shading', ...(edgeOn ? ['outline'] : []), ...(under ? ['standing'] : [])],
    };
  });
  return {
    marks,
    marksSeen: { least, unseen: unseen.map((f) => solid.labels[f]!) },
  };
}

/**
 * How far one outline tells how high a face is lifted where its mark lies, mm, one standard deviation; by 0.2 degrees of tilt over half a face, and
 * because a die rocks on its mark until it meets the card elsewhere.
 */
const LIFT_U = 0.03;

function heightUnder(lifts: readonly number[]): Quantity | null {
  if (lifts.length === 0) return null;
  const value = lifts.reduce((s, h) => s + h, 0) / lifts.length;
  return value > 2 * LIFT_U ? { value, u: LIFT_U } : null;
}

/** Both ways to tell a height, weighed by their doubts. */
function together(a: Quantity | null, b: Quantity | null): Quantity | null {
  if (!a || !b) return a ?? b;
  const [v, w] = [1 / a.u ** 2, 1 / b.u ** 2];
  return { value: (v * a.value + w * b.value) / (v + w), u: 1 / Math.sqrt(v + w) };
}

/** The mark's place in the face as its number is read; in the face's own frame where the number cannot be read. */
function asRead(
  kind: Measured['solid']['kind'],
  views: readonly FacePicture[],
  label: string,
  { place: [x, y] }: FoundMark,
): [number, number] {
  let logs: number[] = [];
  for (const view of views) {
    const reading = readFace(view, kind);
    const row = reading?.labels.indexOf(label) ?? -1;
    if (!reading || row < 0) continue;
    const own = Array.from({ length: reading.turns }, (_, t) => reading.logs[row * reading.turns + t]!);
    logs = own.map((v, t) => v + (logs[t] ?? 0));
  }
  const angle = logs.length === 0 ? 0 : (2 * Math.PI * logs.indexOf(Math.max(...logs))) / logs.length;
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  return [c * x + s * y, c * y - s * x];
}

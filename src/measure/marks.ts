import { bodyOf, seenIn } from '../fit/die-state.ts';
import { faceFrames } from '../faces/face-frame.ts';
import type { FacePicture } from '../faces/face-picture.ts';
import { readFace } from '../faces/reader/reader.ts';
import type { MarkResult } from '../formats/result.ts';
import { faceReliefs } from '../marks/face-relief.ts';
import { faceViews } from '../marks/face-views.ts';
import { findMarks, type FoundMark } from '../marks/find-marks.ts';
import { lightOn, prouds } from '../marks/light-side.ts';
import { markHeight, onFace } from '../marks/mark-height.ts';
import { bearingOf } from '../geometry/face-bearing.ts';
import { byAxis } from '../geometry/vec.ts';
import type { Measured } from './measured.ts';

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

/** Marks on the faces of a measured die: from the straightened faces, and their height from outlines in which their face is edge-on. */
export function marksOf(m: Measured): MarksResult {
  const { state, solid } = m;
  const seen = m.photos.map((photo, i) => ({
    crop: m.looks[i]!.crop,
    camera: photo.camera,
    cameraFromBody: seenIn(state, photo, i).cameraFromBody,
  }));
  const views = faceViews(solid, bodyOf(state), state.distances, seen);
  const reliefs = faceReliefs(views);
  const found = findMarks(reliefs);

  const lights = lightOn(solid, views, reliefs);
  const mean = state.distances.reduce((s, d) => s + d, 0) / state.distances.length;
  const marks = found.marks.map((mark): MarkResult => {
    const frame = faceFrames(solid)[mark.face]!;
    const lift = state.distances[mark.face]! - mean;
    const middle = byAxis((k) => mean * frame.middle[k]! + lift * frame.normal[k]!);
    const foot = onFace(middle, frame.right, frame.up, mark.place);
    const raised = prouds(frame, mark, views[mark.face]!, reliefs[mark.face]!, lights) >= 0;
    const height = raised ? markHeight(seen, foot, frame.normal, mark.size[0] / 2) : null;
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
      from: height === null ? ['shading'] : ['shading', 'outline'],
    };
  });
  return {
    marks,
    marksSeen: { least: found.least, unseen: found.unseen.map((f) => solid.labels[f]!) },
  };
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

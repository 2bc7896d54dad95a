import { D10_APEX, dieSolid, type DieKind, type DieSolid } from '../../geometry/solid.ts';
import type { Mm } from '../../units.ts';

/** A small scar or stub standing proud of a face: a spherical cap. */
export interface Mark {
  /** Index of the face it stands on. */
  readonly face: number;
  /** Place from the face's centre, mm, along the axes of {@link faceFrame}. */
  readonly at: readonly [Mm, Mm];
  readonly height: Mm;
  /** Diameter of its foot. */
  readonly width: Mm;
}

/** An edge cut flat, square to the bisector of its two faces. */
export interface Trim {
  /** Indices of the two faces. */
  readonly faces: readonly [number, number];
  /** How far the cut lies below the rounded edge's skin. */
  readonly depth: Mm;
}

/**
 * A die as its rolls see it. Body frame, mm, origin where the faces' distances are counted from.
 *
 * Arrays follow the order of the solid's faces and corners ({@link solidOf}).
 */
export interface DieShape {
  readonly kind: DieKind;
  /** Of a d10: apex height over belt radius of its mould, where it is not 1. */
  readonly apex?: number;
  /** The number on each face. */
  readonly labels: readonly string[];
  readonly distances: readonly Mm[];
  readonly radii: readonly Mm[];
  /** How far each face's middle stands proud of its rim; 0 or less (sunk) rolls like flat. All flat where left out. */
  readonly crowns?: readonly Mm[];
  readonly mark?: Mark;
  readonly trim?: Trim;
  /** Centre of mass minus that of the same solid in uniform material: a void, a filled number. */
  readonly massOffset?: readonly [Mm, Mm, Mm];
}

/** Usual sizes (common practice), mm: face to opposite face, on a d4 twice the distance of a face from the centre. */
export const NOMINAL: Readonly<Record<DieKind, { readonly size: Mm; readonly radius: Mm }>> = {
  d4: { size: 11, radius: 0.4 },
  d6: { size: 19, radius: 1 },
  d8: { size: 15, radius: 0.5 },
  d10: { size: 16, radius: 0.4 },
  d12: { size: 18.5, radius: 0.4 },
  d20: { size: 20, radius: 0.4 },
};

const solids = new Map<string, DieSolid>();

/**
 * The solid of a kind in its usual numbering; computed once.
 *
 * @param apex  Of a d10: apex height over belt radius.
 */
export function solidOf(kind: DieKind, apex: number = D10_APEX): DieSolid {
  const key = `${kind} ${apex}`;
  let solid = solids.get(key);
  if (!solid) solids.set(key, (solid = dieSolid(kind, undefined, apex)));
  return solid;
}

/** The solid that a shape strays from. */
export const solidFor = (shape: DieShape): DieSolid => solidOf(shape.kind, shape.apex);

/** The true die of a kind: all faces at `size / 2`, all corners of one radius, mm. */
export function trueShape(
  kind: DieKind,
  size: Mm = NOMINAL[kind].size,
  radius: Mm = NOMINAL[kind].radius,
): DieShape & { readonly distances: readonly Mm[] } {
  const solid = solidOf(kind);
  return {
    kind,
    labels: solid.labels,
    distances: solid.labels.map(() => size / 2),
    radii: solid.corners.map(() => radius),
  };
}

/** Mean of the faces' distances, mm: the length that relative changes are counted in. */
export const meanDistance = (shape: DieShape): Mm =>
  shape.distances.reduce((sum, d) => sum + d, 0) / shape.distances.length;

/** Index of the face whose number is rolled when face `down` lies on the table: the opposite one, on a d4 itself. */
export function rolledFace(solid: DieSolid, down: number): number {
  const up = solid.opposite[down];
  return up < 0 ? down : up;
}

/** The same die without some of its optional parts. */
export function without(shape: DieShape, ...parts: readonly ('crowns' | 'mark' | 'trim' | 'massOffset')[]): DieShape {
  return Object.fromEntries(
    Object.entries(shape).filter(([part]) => !(parts as readonly string[]).includes(part)),
  ) as DieShape;
}

import { cornerName } from '../../bias/die/shape-check.ts';
import { solidFor, type DieShape } from '../../bias/die/die-shape.ts';
import {
  ARGUMENT,
  axisLength,
  withAxis,
  withCrown,
  withDistance,
  withEdgeRadius,
  withMark,
  withMassTowards,
  withRadius,
  withTrim,
} from '../../bias/meaning/what-if.ts';
import { decimal } from '../kit/format.ts';

/** One length that can be changed: an axis, or on a d4 a face's distance twice. */
export interface ChangeableAxis {
  readonly face: number;
  readonly name: string;
  /** As measured, mm, rounded as it is shown. */
  readonly length: number;
}

/** Key and name of a face, corner or edge to choose. */
export type Choice = readonly [string, string];

const round = (x: number, digits: number): number => Number(x.toFixed(digits));
const text = (x: number, digits = 3): string => decimal(x, digits);

/** A number as typed, with either decimal mark and either minus; null for nothing, NaN for what is no number. */
export function signedNumber(typed: string): number | null {
  const bare = typed.trim().replace(',', '.').replace('\u2212', '-');
  if (bare === '') return null;
  return /^[-+]?\d+(\.\d*)?$/.test(bare) ? Number(bare) : NaN;
}

const number = (typed: string): number | null => {
  const x = signedNumber(typed);
  return x === null || Number.isNaN(x) ? null : x;
};

/** The fields that are kept as typed, beside the lengths of axes. */
const FIELDS = [
  'radiusText',
  'corner',
  'cornerRadius',
  'edge',
  'edgeRadius',
  'crownFace',
  'crownHeight',
  'markFace',
  'markX',
  'markY',
  'markHeight',
  'markWidth',
  'trimEdge',
  'trimDepth',
  'massFace',
  'massBy',
] as const;
type Field = (typeof FIELDS)[number];

/** The lengths of one die that can be played with, as typed, and the die that comes of them. */
export class WhatIf {
  readonly axes: readonly ChangeableAxis[];
  readonly faces: readonly Choice[];
  readonly corners: readonly Choice[];
  readonly edges: readonly Choice[];

  axisTexts = $state<string[]>([]);
  radiusText = $state('100');
  corner = $state('');
  cornerRadius = $state('');
  edge = $state('');
  edgeRadius = $state('');
  crownFace = $state('');
  crownHeight = $state('');
  markFace = $state('');
  markX = $state('');
  markY = $state('');
  markHeight = $state('');
  markWidth = $state('');
  trimEdge = $state('');
  trimDepth = $state('');
  massFace = $state('');
  massBy = $state('');

  readonly measured: DieShape;
  /** The mark's fields as they stand for the measured die: as long as they do, its mark is not rounded. */
  #markAsMeasured = '';
  /** The die as typed; null as long as nothing differs from the measured one. */
  readonly changed: DieShape | null = $derived.by(() => this.#changed());

  constructor(measured: DieShape) {
    this.measured = measured;
    const solid = solidFor(measured);
    const { labels } = measured;
    this.axes = axesOf(measured);
    this.faces = labels.map((name, i) => [String(i), name] as const).sort((a, b) => Number(a[1]) - Number(b[1]));
    this.corners = named(solid.corners.map((_, c) => cornerName(measured, c)));
    this.edges = named(
      solid.edges.map(({ faces }) =>
        faces
          .map((f) => labels[f]!)
          .sort((a, b) => Number(a) - Number(b))
          .join('-'),
      ),
    );
    this.reset();
  }

  /** Takes back all that was changed. */
  reset(): void {
    this.axisTexts = this.axes.map(({ length }) => text(length));
    this.radiusText = '100';
    this.corner = this.edge = this.crownFace = this.trimEdge = this.massFace = '';
    this.crownHeight = text(ARGUMENT.crown);
    // What was measured is where one starts from.
    const { mark } = this.measured;
    this.markFace = mark ? String(mark.face) : '';
    this.markX = text(mark?.at[0] ?? 0, 1);
    this.markY = text(mark?.at[1] ?? 0, 1);
    this.markHeight = text(mark?.height ?? ARGUMENT.markHeight);
    this.markWidth = text(mark?.width ?? ARGUMENT.markWidth, 1);
    this.#markAsMeasured = this.#markTyped();
    this.trimDepth = text(ARGUMENT.trim);
    this.massBy = text(ARGUMENT.mass);
  }

  /** All fields as typed, by name. */
  get texts(): Record<string, string> {
    const fields = Object.fromEntries(FIELDS.map((name) => [name, this[name]]));
    return { ...fields, ...Object.fromEntries(this.axisTexts.map((t, i) => [`length${i}`, t])) };
  }

  /** Puts back what {@link texts} gave; a face, corner or edge that this die has not is left out. */
  restore(texts: Readonly<Record<string, string>>): void {
    const choices: Partial<Record<Field, readonly Choice[]>> = {
      corner: this.corners,
      edge: this.edges,
      trimEdge: this.edges,
      crownFace: this.faces,
      markFace: this.faces,
      massFace: this.faces,
    };
    for (const name of FIELDS) {
      const text = texts[name];
      const known = text === undefined || text === '' || (choices[name]?.some(([key]) => key === text) ?? true);
      if (text !== undefined && known) this[name] = text;
    }
    this.axisTexts = this.axisTexts.map((t, i) => texts[`length${i}`] ?? t);
  }

  /** Chooses the face whose crown is changed, its crown as measured. */
  chooseCrown(face: string): void {
    this.crownFace = face;
    const own = face === '' ? 0 : (this.measured.crowns?.[Number(face)] ?? 0);
    if (face !== '') this.crownHeight = text(own !== 0 ? own : ARGUMENT.crown);
  }

  /** Chooses the corner, its radius as measured. */
  chooseCorner(corner: string): void {
    this.corner = corner;
    if (corner !== '') this.cornerRadius = text(this.measured.radii[Number(corner)]!);
  }

  /** Chooses the edge, its radius the mean of its ends. */
  chooseEdge(edge: string): void {
    this.edge = edge;
    if (edge === '') return;
    const [a, b] = solidFor(this.measured).edges[Number(edge)]!.corners;
    this.edgeRadius = text((this.measured.radii[a]! + this.measured.radii[b]!) / 2);
  }

  #changed(): DieShape | null {
    const shape = this.#withFlaws(this.#withRadii(this.#withAxes(this.measured)));
    return shape === this.measured ? null : shape;
  }

  #withAxes(measured: DieShape): DieShape {
    return this.axes.reduce((shape, { face, length }, i) => {
      const typed = number(this.axisTexts[i] ?? '');
      if (typed === null || typed === length) return shape;
      return measured.kind === 'd4' ? withDistance(shape, face, typed / 2) : withAxis(shape, face, typed);
    }, measured);
  }

  #withRadii(before: DieShape): DieShape {
    let shape = before;
    const scale = number(this.radiusText);
    if (scale !== null && scale !== 100) shape = { ...shape, radii: shape.radii.map((r) => (r * scale) / 100) };
    const [edgeRadius, cornerRadius] = [number(this.edgeRadius), number(this.cornerRadius)];
    if (this.edge !== '' && edgeRadius !== null) shape = withEdgeRadius(shape, Number(this.edge), edgeRadius);
    if (this.corner !== '' && cornerRadius !== null) shape = withRadius(shape, Number(this.corner), cornerRadius);
    return shape;
  }

  #withMark(shape: DieShape): DieShape {
    if (this.#markTyped() === this.#markAsMeasured) return shape;
    if (this.markFace === '') return shape.mark ? withMark(shape, null) : shape;
    const [height, width, x, y] = [this.markHeight, this.markWidth, this.markX, this.markY].map(number);
    if (height === null || width === null) return shape;
    return withMark(shape, { face: Number(this.markFace), at: [x ?? 0, y ?? 0], height: height!, width: width! });
  }

  #markTyped(): string {
    return [this.markFace, this.markX, this.markY, this.markHeight, this.markWidth].join(' ');
  }

  #withFlaws(before: DieShape): DieShape {
    let shape = before;
    const [crown, depth, by] = [this.crownHeight, this.trimDepth, this.massBy].map(number);
    if (this.crownFace !== '' && crown !== null) shape = withCrown(shape, Number(this.crownFace), crown!);
    shape = this.#withMark(shape);
    if (this.trimEdge !== '' && depth !== null)
      shape = withTrim(shape, { faces: solidFor(shape).edges[Number(this.trimEdge)]!.faces, depth: depth! });
    if (this.massFace !== '' && by !== null) shape = withMassTowards(shape, Number(this.massFace), by!);
    return shape;
  }
}

/** Indices with their names, by their names' numbers. */
const named = (names: readonly string[]): Choice[] =>
  names.map((name, i): Choice => [String(i), name]).sort((a, b) => a[1].localeCompare(b[1], 'en', { numeric: true }));

function axesOf(shape: DieShape): ChangeableAxis[] {
  const { opposite } = solidFor(shape);
  const low = shape.labels.map((_, f) => f).sort((a, b) => Number(shape.labels[a]) - Number(shape.labels[b]));
  return low
    .filter((f) => opposite[f]! < 0 || low.indexOf(f) < low.indexOf(opposite[f]!))
    .map((face) => ({
      face,
      name: opposite[face]! < 0 ? shape.labels[face]! : `${shape.labels[face]}-${shape.labels[opposite[face]!]}`,
      length: round(axisLength(shape, face), 3),
    }));
}

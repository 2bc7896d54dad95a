import type { DieKind } from '../geometry/solid.ts';
import type { PhotoCoding } from './photo-coding.ts';
import type { Numbering } from '../geometry/numbering.ts';
import type { Picture } from '../vision/picture.ts';

/** One photo of a set as the job names it. */
export interface JobShot {
  readonly photo: string;
  /** Number on top; on a d4 the number of the face it stands on. */
  readonly up: string;
  /** Number on the face that looks to the card's lower edge. */
  readonly front: string;
}

/** What is measured, and what is known beforehand. */
export interface Job {
  readonly die: DieKind;
  readonly shots: readonly JobShot[];
  /** Measured lengths of the card's two check bars, mm; null where nobody measured. */
  readonly checkBar: number | null;
  readonly checkBarY: number | null;
  /** Standard uncertainty of those lengths, mm. */
  readonly checkBarU: number;
  /** Numbering of the die where it is not the usual one. */
  readonly numbering: Numbering | null;
  /** Of a d10: apex height over belt radius of its mould, where it is not 1. */
  readonly apex?: number;
}

/** A decoded photo. */
export interface MeasurePhoto {
  readonly name: string;
  /** Upright. */
  readonly picture: Picture;
  /** EXIF orientation that made it upright; 1 where left out. */
  readonly orientation?: number;
  /** Focal length in px as the photo's own data state it, or null. */
  readonly focal: number | null;
  /** How its file rounded it; null or left out where nothing is known of that. */
  readonly coding?: PhotoCoding | null;
}

/** A value and its standard uncertainty, same unit. */
export interface Quantity {
  readonly value: number;
  readonly u: number;
}

export interface AxisResult {
  /** The two numbers, lower first: "1-20"; on a d4 "1-corner". */
  readonly name: string;
  /** Over the faces, as caliper jaws touch them: the length at the edges and both faces' crowns, mm. */
  readonly length: number;
  /** At the edges, where outlines at usual leans show the faces, mm; results of before have none. */
  readonly lengthAtEdges?: Quantity;
  /** Standard uncertainty of `length`, all parts together, mm. */
  readonly u: number;
  /** The part that all axes share (scale, where an edge lies), and the part that tells them apart; mm. */
  readonly uCommon: number;
  readonly uDifference: number;
}

export type PhotoStatus = 'used' | 'used-with-remark' | 'left-out';

/** A remark on a photo or on the set: which kind, and the numbers behind it; the words stand in `messages.ts`. */
export interface Note {
  readonly code: NoteCode;
  readonly seen?: number | string;
  readonly needed?: number | string;
}

export type NoteCode =
  | 'not-an-image' | 'truncated' | 'too-large' | 'too-small' | 'heic' | 'format-unread' | 'unreadable'
  | 'no-card' | 'few-markers' | 'other-card' | 'mirrored' | 'card-points'
  | 'no-die' | 'several-dice' | 'die-over-ring' | 'die-cut' | 'blur' | 'burnt' | 'low-contrast'
  | 'no-file' | 'misfit' | 'disagrees' | 'up-doubtful' | 'other-camera' | 'edge-on' | 'unknown-number' | 'duplicate'
  | 'beside' | 'shadow-edge' | 'noisy' | 'compressed' | 'colour-alone' | 'portrait' | 'smoothed' | 'local-contrast'
  | 'pattern' | 'metal'
  | 'scale-unchecked' | 'one-photo' | 'rank' | 'face-unseen' | 'camera-rank' | 'no-photo' | 'sheen-unknown' | 'wrong-kind'; // prettier-ignore

export interface PhotoResult {
  readonly photo: string;
  readonly up: string;
  readonly front: string;
  readonly status: PhotoStatus;
  /** The worst remark's code, or null. */
  readonly code: NoteCode | null;
  readonly remark: string | null;
  readonly notes: readonly Note[];
  /** Card points used, and their scatter, px. */
  readonly cardPoints: number;
  readonly cardSigma: number;
  /** Lean of the camera from straight above, degrees. */
  readonly lean: number | null;
  /** Picture scale at the die, mm per px. */
  readonly scale: number | null;
  /** Blur of the die's edge at the card and at its top, px, one standard deviation. */
  readonly blur: readonly [number, number] | null;
  /** What the page draws, in the upright photo: the fitted outline and the measured residual along it; null where left out. */
  readonly outline: PhotoOutline | null;
}

export interface PhotoOutline {
  /** Size of the upright photo, px: the camera's, with sides swapped where the photo was turned. */
  readonly width: number;
  readonly height: number;
  /** Fitted outline, [u, v] per point, px of the photo. */
  readonly model: readonly number[];
  /** Measured edge points, [u, v] each, outward normals, residual along them (measured minus model) and sigma, px. */
  readonly points: readonly number[];
  readonly normals: readonly number[];
  readonly residuals: readonly number[];
  readonly sigmas: readonly number[];
}

/** A line of the uncertainty budget: standard uncertainty that a source alone gives. */
export interface BudgetLine {
  readonly source: 'noise' | 'outline' | 'camera' | 'scale' | 'edge' | 'sheen' | 'shade' | 'sharpening' | 'apex';
  /** Of the mean axis, of a difference of two axes (median), and of the mean corner radius, mm. */
  readonly meanAxis: number;
  readonly difference: number;
  readonly meanRadius: number;
}

/** The result of measuring a die: JSON "evencast-result/1". Lengths in mm, `u` standard uncertainties. */
export interface MeasureResult {
  readonly format: 'evencast-result/1';
  readonly die: { readonly kind: DieKind };
  readonly axes: readonly AxisResult[];
  /** mm^2, in the order of `axes`. */
  readonly axesCovariance: readonly (readonly number[])[];
  /** The same of the lengths at the edges. */
  readonly axesAtEdgesCovariance?: readonly (readonly number[])[];
  readonly meanAxis: Quantity;
  readonly rangeOfAxes: Quantity;
  readonly corners: readonly { readonly name: string; readonly radius: number; readonly u: number }[];
  readonly meanCornerRadius: Quantity;
  readonly edges: readonly { readonly name: string; readonly radius: number; readonly u: number }[];
  readonly faces: readonly {
    readonly name: string;
    /** Of the face's plane at its edges from the body's origin, mm: with the crown added, of its middle. */
    readonly distance: number;
    readonly u: number;
    readonly land: number;
    /** How far the face's middle stands proud of its rim, mm; null where no photo grazes the face. */
    readonly crown: Quantity | null;
  }[];
  /** Faces, then corners, in the order above; mm^2. */
  readonly shapeCovariance: { readonly names: readonly string[]; readonly matrix: readonly (readonly number[])[] };
  readonly photos: readonly PhotoResult[];
  readonly notes: readonly Note[];
  readonly camera: {
    readonly width: number;
    readonly height: number;
    readonly f: number;
    readonly cx: number;
    readonly cy: number;
    readonly k1: number;
    readonly k2: number;
    readonly u: readonly number[];
  };
  readonly card: {
    readonly scaleX: Quantity;
    readonly scaleY: Quantity;
    readonly checked: boolean;
    readonly bow: number;
  };
  /** What was found of the surface and of the photos' response. */
  readonly surface: {
    readonly mirror: Quantity;
    readonly rough: Quantity;
    readonly limb: Quantity;
    readonly sharpening: Quantity;
    readonly sharpeningRadius: number;
  };
  readonly budget: readonly BudgetLine[];
  readonly fit: {
    readonly stop: 'converged' | 'steps' | 'stuck';
    readonly reducedChiSquare: number;
    readonly points: number;
    readonly outlineSigma: number;
  };
  /** Seconds per photo, wall clock; filled by whoever owns a clock. */
  readonly timing: Readonly<Record<string, number>>;
}

export interface MeasureFailure {
  readonly code: NoteCode;
  readonly seen?: number | string;
  readonly needed?: number | string;
  readonly photos: readonly PhotoResult[];
}

/** Where the work stands. */
export interface Progress {
  readonly stage: 'decode' | 'card' | 'calibrate' | 'coarse' | 'edges' | 'fit';
  /** Photo in hand, from 0, or null for work on the whole set. */
  readonly photo: number | null;
  /** Of all the work, 0 to 1. */
  readonly fraction: number;
}

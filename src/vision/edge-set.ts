import type { Asked } from './profile.ts';
import type { StageLight } from './stage-light.ts';

/** How a photo blurs at the card and at `top` mm over it: sigma of a Gaussian that includes the pixel's own area, px. */
export interface Blur {
  readonly low: number;
  readonly high: number;
  readonly top: number;
}

/** Scatter of display values inside and outside the die, one standard deviation. */
export interface Noise {
  readonly inside: number;
  readonly outside: number;
}

/** What was measured along one predicted outline, per segment. */
export interface EdgeSet {
  readonly count: number;
  /** A point of the predicted outline in the middle of the segment, px, and the outward normal there. */
  readonly xy: Float64Array;
  readonly normal: Float64Array;
  /** Measured minus predicted along the normal, px. */
  readonly offset: Float64Array;
  /** Standard uncertainty of the offset with all terms held, px; Infinity where the segment says nothing. */
  readonly sigma: Float64Array;
  /** Change of the offset by each term, TERM_COUNT per segment, px. */
  readonly byTerm: Float64Array;
  /** Display values outside minus inside. */
  readonly contrast: Float64Array;
  /** Slopes of the light on either side over what is believed of them, both together. */
  readonly strain: Float64Array;
  /** Change of the die's own light along the outline over what is believed of slopes on plain skin. */
  readonly skin: Float64Array;
  /** Root mean square of residuals over the noise, all segments. */
  readonly misfit: number;
  /** What the pixels say of sharpening and the two blurs: information (3 x 3) and gradient. */
  readonly lookInformation: Float64Array;
  readonly lookGradient: Float64Array;
  /** What they say of the shade's strength: information and gradient. */
  readonly shade: ShadeEvidence;
  /** What grazing segments say of the crown of the face that they graze; null where crowns are not sought. */
  readonly crowns: CrownLight | null;
  /** Scatter seen, from the residuals. */
  readonly noise: Noise;
}

/** Per segment: the face it grazes, how the offset moves with its crown, and what is left to say of the crown. */
export interface CrownLight {
  readonly face: Int32Array;
  /** Movement of the offset by the crown, px per mm, and by the share of what the face mirrors there, px. */
  readonly byCrown: Float64Array;
  readonly byGlare: Float64Array;
  /** Information on crown (1 / mm^2), crown and glare, glare; gradients of both: five numbers a segment. */
  readonly sums: Float64Array;
}
export const CROWN_SUMS = 5;

export interface ShadeEvidence {
  information: number;
  gradient: number;
}

export interface EdgeOptions {
  /** Looks at one segment in so many. */
  readonly every: number;
  /** Believed slope of the light on either side, shares of the contrast per px, one standard deviation. */
  readonly slope: number;
  readonly steps: number;
  /** Which changes of the offsets are wanted besides. */
  readonly asked: Asked;
  /** Per face: by which share it mirrors more where it is seen edge-on. */
  readonly glare?: Float64Array;
  /** Light of the card that the rim may mirror; without it all is as bright as the stage just outside. */
  readonly light?: StageLight;
}
export const EDGE_OPTIONS: EdgeOptions = { every: 1, slope: 0.02, steps: 5, asked: 'all' };

/** Fewest pixels of a segment, and least contrast in display values. */
export const SEGMENT = { pixels: 20, contrast: 6 } as const;

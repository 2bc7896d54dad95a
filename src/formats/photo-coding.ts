/** How a JPEG was rounded: what its quantisation tables and its layout of colour say. */
export interface PhotoCoding {
  /** Quality on the usual scale of 1 to 100 that gives luma's table as nearly as may be. */
  readonly quality: number;
  /** Steps by which luma's waves are rounded, display values: of waves longer than 4 px, and of all. Root mean squares. */
  readonly coarse: number;
  readonly fine: number;
  /** Luma samples per colour sample across and down: 2 and 2 in 4:2:0, 1 and 1 in 4:4:4. */
  readonly colour: readonly [number, number];
  /** The same as `coarse`, of colour. */
  readonly colourCoarse: number;
}

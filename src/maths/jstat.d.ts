/** What is used of jstat, which ships no types. */
declare module 'jstat' {
  interface Quantile2 {
    inv(p: number, a: number, b: number): number;
  }
  /** A CommonJS module: Node and bundlers both hand its exports over as the default. */
  const jstat: {
    readonly jStat: {
      readonly normal: Quantile2;
      readonly beta: Quantile2;
      readonly centralF: Quantile2;
      readonly chisquare: { inv(p: number, df: number): number };
      readonly studentt: { inv(p: number, df: number): number };
    };
  };
  export default jstat;
}

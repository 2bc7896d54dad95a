/** The rewritten opencv-wasm, see config/opencv-plugin.ts. */
declare module 'virtual:opencv' {
  import type { CvFactory } from '../src/vision/cv-door.ts';

  const factory: CvFactory;
  export default factory;
}

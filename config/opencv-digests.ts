import { createHash } from 'node:crypto';

/** SHA-256 of the files of opencv-wasm that are used, version 4.3.0-10 of the npm registry. The lock file pins the package; this pins what runs. */
export const OPENCV_DIGESTS = {
  'opencv.js': 'd2a1c8bf0561aaba84e0e0d40793ef556fbe952a0c1faa7f59bf7c4d21ede3ed',
  'opencv.wasm': '55449c77cd0e1dba540697c3b3be11a8320370721f525f6295e12e99428a553f',
} as const;

/** The bytes themselves. @throws {Error} Where they are not those of the known version. */
export function checkedOpenCv<B extends Uint8Array>(name: keyof typeof OPENCV_DIGESTS, bytes: B): B {
  const seen = createHash('sha256').update(bytes).digest('hex');
  if (seen !== OPENCV_DIGESTS[name])
    throw new Error(`${name} of opencv-wasm is not the known one: SHA-256 ${seen}, ${OPENCV_DIGESTS[name]} needed`);
  return bytes;
}

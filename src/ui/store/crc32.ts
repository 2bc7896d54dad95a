/** Remainders of the reversed polynomial 0xEDB88320 (ISO 3309, ITU-T V.42), one per byte. */
const TABLE = Uint32Array.from({ length: 256 }, (_, byte) => {
  let rest = byte;
  for (let bit = 0; bit < 8; bit++) rest = rest & 1 ? (rest >>> 1) ^ 0xedb88320 : rest >>> 1;
  return rest;
});

/** The CRC-32 of `bytes`, as ZIP and PNG use it: "123456789" in ASCII gives 0xCBF43926. */
export function crc32(bytes: Uint8Array): number {
  let crc = 0xffffffff;
  for (let i = 0; i < bytes.length; i++) crc = (crc >>> 8) ^ TABLE[(crc ^ bytes[i]!) & 0xff]!;
  return (crc ^ 0xffffffff) >>> 0;
}

import { SHOP_SIZE } from '../../report/forms/shop-picture.ts';

/** The shop's picture as PNG. Rejects where the browser draws no SVG. */
export async function pngOf(svg: Uint8Array): Promise<Blob> {
  const url = URL.createObjectURL(new Blob([svg as BlobPart], { type: 'image/svg+xml' }));
  try {
    const image = new Image();
    image.src = url;
    await image.decode();
    const canvas = document.createElement('canvas');
    canvas.width = SHOP_SIZE.width * SHOP_SIZE.scale;
    canvas.height = SHOP_SIZE.height * SHOP_SIZE.scale;
    canvas.getContext('2d')!.drawImage(image, 0, 0, canvas.width, canvas.height);
    return await new Promise((resolve, reject) => {
      canvas.toBlob((blob) => (blob ? resolve(blob) : reject(new Error('no picture was made'))), 'image/png');
    });
  } finally {
    URL.revokeObjectURL(url);
  }
}

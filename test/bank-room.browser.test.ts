import axe from 'axe-core';
import { flushSync, mount, unmount } from 'svelte';
import { afterEach, expect, test } from 'vitest';
import '../src/ui/app.css';
import BankCardHelp from '../src/ui/card/BankCardHelp.svelte';
import { language } from '../src/ui/kit/language.svelte.ts';
import { BarsEntry } from '../src/ui/store/bars-entry.svelte.ts';
import { plate } from './support/bank-plate.ts';
import { poseOver, rendered, scene } from './support/render-card.ts';

let shown: ReturnType<typeof mount> | undefined;
afterEach(async () => {
  if (shown) await unmount(shown);
  document.body.replaceChildren();
});

/** A bank card on a print of 99 % by 100.4 %, as a file. */
async function photo(): Promise<File> {
  const cameraFromCard = poseOver(2, 1, 0, 155);
  const [width, height] = [1000, 760];
  const { data } = rendered(
    scene({
      width,
      height,
      camera: { f: 1320, cx: 502, cy: 377, k1: 0, k2: 0 },
      cameraFromCard,
      samples: 1,
      scale: [0.99, 1.004],
      die: plate(cameraFromCard, {}),
    }),
  );
  const canvas = new OffscreenCanvas(width, height);
  const image = new ImageData(width, height);
  for (let k = 0; k < width * height; k++) {
    image.data.set(data.subarray(3 * k, 3 * k + 3), 4 * k);
    image.data[4 * k + 3] = 255;
  }
  canvas.getContext('2d')!.putImageData(image, 0, 0);
  return new File([await canvas.convertToBlob()], 'bank.png', { type: 'image/png' });
}

function open(bars: BarsEntry): void {
  language.choose('en');
  shown = mount(BankCardHelp, { target: document.body, props: { bars, card: 'one' } });
  document.querySelector('summary')!.click();
}

async function choose(file: File): Promise<void> {
  const chooser = (): HTMLInputElement | null => document.querySelector('input[type=file]');
  await expect.poll(chooser).not.toBeNull();
  const input = chooser()!;
  const given = new DataTransfer();
  given.items.add(file);
  input.files = given.files;
  input.dispatchEvent(new Event('change', { bubbles: true }));
}

const says = (text: string): Promise<void> => expect.poll(() => document.body.textContent).toContain(text);

test('a photo of a bank card offers both lengths, shows its lines, and enters nothing by itself', async () => {
  const bars = new BarsEntry();
  open(bars);
  await choose(await photo());
  await says('standard uncertainty');
  expect([bars.x, bars.y]).toEqual(['', '']);
  expect(document.querySelectorAll('svg polygon').length).toBe(2);
  const take = [...document.querySelectorAll('button')].find((b) => b.textContent?.startsWith('Take as lengths'))!;
  take.click();
  flushSync();
  // The photo states no focal length: parallax of 0.76 mm over 155 mm, doubtful by half, is 0.25 mm on a bar.
  expect(Math.abs(Number(bars.x) - 99)).toBeLessThan(2 * Number(bars.u));
  expect(Math.abs(Number(bars.y) - 100.4)).toBeLessThan(2 * Number(bars.u));
  expect(Number(bars.u)).toBeGreaterThan(0.2);
  expect(take.disabled).toBe(true);
  const { violations } = await axe.run(document.body, {
    rules: {
      region: { enabled: false },
      'page-has-heading-one': { enabled: false },
      'heading-order': { enabled: false },
    },
  });
  expect(violations.map(({ id, nodes }) => `${id}: ${nodes[0]!.html}`)).toEqual([]);
});

test('a file that is no photo is refused in words, and leaves the bars as they are', async () => {
  const bars = new BarsEntry();
  bars.x = '100.1';
  open(bars);
  await choose(new File(['no photo'], 'list.jpg', { type: 'image/jpeg' }));
  await says('The file is no picture this program can read.');
  expect(bars.x).toBe('100.1');
  expect(document.querySelector('svg polygon')).toBeNull();
});

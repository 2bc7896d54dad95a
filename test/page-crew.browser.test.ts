import { expect, it } from 'vitest';
import { IN_ONE, pageCrews } from '../workers/page-crew.ts';

/** A module of nothing: no worker is started as long as nothing is asked. Its eight bytes are magic and version (WebAssembly Core 1.0, 5.5.16). */
const none = new WebAssembly.Module(Uint8Array.of(0, 0x61, 0x73, 0x6d, 1, 0, 0, 0));

it('a small set on few cores is worked on in one worker, a larger one or on more cores side by side', () => {
  const two = pageCrews(none, 2);
  expect(two.for(IN_ONE.photos)).not.toBe(two.for(IN_ONE.photos + 1));
  expect(two.for(IN_ONE.photos + 1).size).toBe(2);
  const three = pageCrews(none, 3);
  expect(three.for(IN_ONE.photos).size).toBe(3);
  expect(three.for(20)).toBe(three.for(IN_ONE.photos));
  expect(pageCrews(none, 1).for(20).size).toBe(1);
});

it('a set that grows and shrinks again finds the crews it had', () => {
  const crews = pageCrews(none, 2);
  const [few, many] = [crews.for(2), crews.for(12)];
  expect(crews.for(2)).toBe(few);
  expect(crews.for(12)).toBe(many);
  expect(crews.live()).toBe(0);
});

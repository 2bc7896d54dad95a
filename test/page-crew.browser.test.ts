import { expect, it } from 'vitest';
import { IN_ONE, pageCrews } from '../workers/page-crew.ts';

it('a small set on few cores is worked on in one worker, a larger one or on more cores side by side', () => {
  const two = pageCrews(2);
  expect(two.for(IN_ONE.photos)).not.toBe(two.for(IN_ONE.photos + 1));
  expect(two.for(IN_ONE.photos + 1).size).toBe(2);
  const three = pageCrews(3);
  expect(three.for(IN_ONE.photos).size).toBe(3);
  expect(three.for(20)).toBe(three.for(IN_ONE.photos));
  expect(pageCrews(1).for(20).size).toBe(1);
});

it('a set that grows and shrinks again finds the crews it had', () => {
  const crews = pageCrews(2);
  const [few, many] = [crews.for(2), crews.for(12)];
  expect(crews.for(2)).toBe(few);
  expect(crews.for(12)).toBe(many);
});

import { fileTaker } from '../kit/files-taken.ts';
import { route } from '../kit/route.svelte.ts';
import { leaveReport, mayBeReport } from '../report/report-handoff.ts';
import { bench } from '../store/the-bench.ts';

interface Given {
  readonly files: readonly File[];
  readonly passedOver: number;
}

/**
 * Photos that reach the page from anywhere: dropped, pasted, chosen on the first room. Where a die lies on the bench that they may not
 * belong to, the person is asked before they are added.
 */
class Arrivals {
  /** Files about which the person is asked. */
  asked = $state.raw<Given | null>(null);

  /** Files hover over the page. */
  expect(): void {
    if (fileTaker() === undefined) bench.expect();
  }

  take(files: readonly File[], passedOver = 0): void {
    const taker = fileTaker();
    if (taker !== undefined) return taker(files);
    if (files.some(mayBeReport)) {
      leaveReport(files);
      return route.go('report');
    }
    const { photos, result } = bench.set;
    // A set that is still being put together is added to where its photos are in sight.
    const plain = photos.length === 0 || (result === null && route.place.room === 'photos');
    if (plain) this.#add({ files, passedOver });
    else this.asked = { files, passedOver };
  }

  /** What the person answered; null: neither, the files are let go. */
  answer(where: 'new' | 'this' | null): void {
    const given = this.asked;
    this.asked = null;
    if (given === null || where === null) return;
    if (where === 'new') bench.startAgain();
    this.#add(given);
  }

  #add({ files, passedOver }: Given): void {
    void bench.take(files, passedOver);
    route.go('photos');
  }
}

export const arrivals = new Arrivals();

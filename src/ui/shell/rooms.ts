import type { Component } from 'svelte';
import type { Catalogue } from '../kit/catalogue.ts';

/**
 * A room of the page: a component without properties, fetched when somebody goes there. Its first heading is an `h2` with
 * `tabindex="-1"` (a `Section` has one): it gets the focus. The die in hand is `bench` of `state/the-bench.ts`.
 */
export interface Room {
  /** Address after `#/`. */
  readonly id: string;
  readonly title: Catalogue<string>;
  /** Whether every die goes through it: these stand at the thumb on a telephone. */
  readonly step?: boolean;
  readonly load: () => Promise<{ default: Component }>;
}

/** In the order of the navigation; the first is shown where an address names no room. */
export const ROOMS: readonly Room[] = [
  { id: '', title: { en: 'Start', de: 'Start' }, load: () => import('../start/StartRoom.svelte') },
  { id: 'card', step: true, title: { en: 'Card', de: 'Karte' }, load: () => import('../card/CardRoom.svelte') },
  { id: 'photos', step: true, title: { en: 'Photos', de: 'Fotos' }, load: () => import('../photos/PhotosRoom.svelte') },
  { id: 'shape', step: true, title: { en: 'Shape', de: 'Form' }, load: () => import('../shape/ShapeRoom.svelte') },
  { id: 'rolls', step: true, title: { en: 'Rolls', de: 'Würfe' }, load: () => import('../rolls/RollsRoom.svelte') },
  { id: 'report', title: { en: 'Report', de: 'Bericht' }, load: () => import('../report/ReportRoom.svelte') },
  { id: 'compare', title: { en: 'Shelf', de: 'Regal' }, load: () => import('../compare/CompareRoom.svelte') },
  { id: 'lots', title: { en: 'Lots', de: 'Lose' }, load: () => import('../lots/LotsRoom.svelte') },
  { id: 'bin', title: { en: 'Bin', de: 'Kiste' }, load: () => import('../bin/BinRoom.svelte') },
  { id: 'check', title: { en: 'Check', de: 'Prüfen' }, load: () => import('../check/CheckRoom.svelte') },
];

/** Fetches the rooms that a measured die goes through. */
export function fetchMeasuring(): void {
  for (const { id, load } of ROOMS) if (id === 'photos' || id === 'shape') load().catch(() => undefined);
}

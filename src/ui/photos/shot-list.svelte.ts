import type { LiveDie } from '../../live/live-numbers.ts';
import type { PlannedShot } from '../../shots/information.ts';
import { dieSolid, type DieSolid } from '../../geometry/solid.ts';
import {
  MOST_PLANNED,
  PHOTO_COUNTS,
  type AdvisedShot,
  type Effort,
  type Help,
  type PlanRequest,
  type Reached,
  type ShotPlan,
} from '../../shots/plan.ts';
import { radians } from '../../units.ts';
import { keptChoice, keptText } from '../kit/kept-settings.svelte.ts';
import { shotsClient } from '../store/shots-client.ts';
import type { Bench } from '../store/bench.svelte.ts';
import type { DieSet } from '../store/die-set.svelte.ts';
import type { PhotoEntry } from '../store/photo-entry.svelte.ts';

/** A line of the shot list: a shot to take, or one that was taken. */
export interface ShotLine {
  readonly shot: PlannedShot;
  readonly helps: readonly Help[];
  readonly crowns?: AdvisedShot['crowns'];
  readonly photo: PhotoEntry | null;
}

/** A photo's lean is known only when the set was measured; till then it is taken for as planned, or for this. */
const SOME_LEAN = radians(12);

/** The shot list of the die on the bench: planned anew whenever the die, the effort or the photos change. */
export class ShotList {
  readonly #bench: Bench;
  readonly #client = shotsClient();
  readonly #effort = keptChoice<Effort | 'own'>('shot-effort', ['usual', 'quick', 'thorough', 'own']);
  /** How many photos, as typed, where `effort` is 'own'. */
  readonly #typed = keptText('shot-count');
  plan = $state.raw<ShotPlan | null>(null);
  reached = $state.raw<Reached | null>(null);
  /** What is left to take, the most helpful first. */
  upcoming = $state.raw<readonly AdvisedShot[]>([]);
  /** Photos for the crowns that are left to take. */
  #grazing = $state.raw<readonly AdvisedShot[]>([]);
  /** Planned shots that photos were found for. */
  #matched = $state.raw<readonly Match[]>([]);
  fault = $state<string | null>(null);
  #turn = 0;
  #planned = '';
  /** What `upcoming` was planned for. */
  #shownFor = $state('');

  constructor(bench: Bench) {
    this.#bench = bench;
  }

  get effort(): Effort | 'own' {
    return this.#effort.current;
  }

  set effort(choice: Effort | 'own') {
    this.#effort.current = choice;
  }

  get typed(): string {
    return this.#typed.current;
  }

  set typed(text: string) {
    this.#typed.current = text;
  }

  get set(): DieSet {
    return this.#bench.set;
  }

  readonly wrong = $derived.by(() => this.effort === 'own' && this.#typedCount() === null);
  /** How many photos the person is willing to take. */
  readonly count = $derived.by(() => {
    const counts = PHOTO_COUNTS[this.set.kind];
    return this.effort === 'own' ? (this.#typedCount() ?? counts.usual) : counts[this.effort];
  });
  readonly solid: DieSolid = $derived.by(() => {
    const { die, numbering, apex } = this.set.job;
    return dieSolid(die, numbering ?? undefined, apex);
  });
  readonly request: PlanRequest = $derived.by(() => {
    const { die, numbering, apex, checkBar, checkBarY, checkBarU } = this.set.job;
    const bars = ((checkBar === null ? 0 : 1) + (checkBarY === null ? 0 : 1)) as 0 | 1 | 2;
    return { kind: die, numbering, bars, barU: checkBarU, ...(apex === undefined ? {} : { apex }) };
  });
  /** What the live camera reads. */
  readonly die: LiveDie = $derived.by(() => {
    const { die, numbering, apex } = this.set.job;
    return { kind: die, numbering, ...(apex === undefined ? {} : { apex }) };
  });
  /** Photos that count: those whose numbers are known. */
  readonly #known = $derived.by(() => this.set.usable.filter((photo) => standing(photo) !== null));
  /** The same as shots. */
  readonly taken = $derived.by(() =>
    this.#known.map((photo) => ({ ...standing(photo)!, lean: photo.judged?.lean ?? null })),
  );
  /** Changes when a plan is due. */
  readonly due = $derived(JSON.stringify([this.request, this.count, this.taken]));
  /** What is left to take of the die on the bench; nothing while it is worked out. */
  readonly current = $derived.by(() => (this.#shownFor === JSON.stringify(this.request) ? this.upcoming : []));
  readonly lines: readonly ShotLine[] = $derived.by(() => [
    ...this.#known.map((photo): ShotLine => {
      const planned = this.#matched.find((m) => m.photo === photo)?.planned;
      return { shot: planned?.shot ?? shotOf(photo), helps: planned?.helps ?? [], photo };
    }),
    ...this.current.map(({ shot, helps }): ShotLine => ({ shot, helps, photo: null })),
  ]);
  /** Beside the list: photos that see a face edge-on. */
  readonly grazing: readonly ShotLine[] = $derived.by(() =>
    this.#shownFor === JSON.stringify(this.request)
      ? this.#grazing.map(({ shot, helps, crowns }): ShotLine => ({
          shot,
          helps,
          photo: null,
          ...(crowns ? { crowns } : {}),
        }))
      : [],
  );

  #typedCount(): number | null {
    const n = Number(this.typed);
    return Number.isInteger(n) && n >= 1 && n <= MOST_PLANNED ? n : null;
  }

  /** Plans for what is on the bench; only the last of several calls has an effect. */
  async refresh(): Promise<void> {
    const turn = ++this.#turn;
    const { request, count } = this;
    const key = JSON.stringify([request, count]);
    if (key !== this.#planned) {
      const plan = await this.#client.call((api) => api.plan($state.snapshot(request) as PlanRequest, count, []));
      if (turn !== this.#turn) return;
      if (!plan.ok) return this.#failed(plan.error);
      this.plan = plan.value;
      this.#planned = key;
    }
    const photos = this.#known;
    const planned = [...this.plan!.shots, ...this.plan!.grazing];
    const found = matched(planned, photos);
    const shots = found.map(({ photo, planned }) => shotOf(photo, planned?.shot));
    const isLeft = (s: AdvisedShot): boolean => !found.some((match) => match.planned === s);
    const left = this.plan!.shots.filter(isLeft);
    const asked = $state.snapshot(request) as PlanRequest;
    const reached = await this.#client.call((api) => api.next(asked, shots));
    if (turn !== this.#turn) return;
    if (!reached.ok) return this.#failed(reached.error);
    let upcoming: readonly AdvisedShot[] = left;
    if (found.some(({ planned }) => planned === null)) {
      // Photos beside the plan make another rest of it the best.
      const rest = await this.#client.call((api) => api.plan(asked, Math.max(0, count - photos.length), shots));
      if (turn !== this.#turn) return;
      if (!rest.ok) return this.#failed(rest.error);
      upcoming = rest.value.shots;
    }
    this.fault = null;
    this.#matched = found;
    this.reached = reached.value;
    this.upcoming = upcoming;
    this.#grazing = this.plan!.grazing.filter(isLeft);
    this.#shownFor = JSON.stringify(request);
  }

  /** Takes a photo that was made for a shot, has it judged and its numbers read. */
  async take(file: File, shot: PlannedShot): Promise<void> {
    const { set } = this;
    const before = [...set.photos];
    set.add([file], [file.lastModified]);
    // What was planned is no more than likely: which number is up is read from the photo.
    const taken = set.photos.find((photo) => !before.includes(photo));
    if (taken !== undefined) taken.planned = { up: shot.up, front: shot.front };
    await this.#bench.take([]);
  }

  /** Ends planning that is under way; what was planned before stays, and the next `refresh` plans again. */
  pause(): void {
    this.#turn++;
    this.#client.dispose();
  }

  close(): void {
    this.pause();
  }

  #failed(error: { readonly code: string }): void {
    if (error.code !== 'cancelled') this.fault = error.code;
  }
}

/** A photo and the planned shot that it is, or null where it is none. */
interface Match {
  readonly photo: PhotoEntry;
  readonly planned: AdvisedShot | null;
}

/** Finds for each photo its planned shot, each shot once. */
function matched(shots: readonly AdvisedShot[], photos: readonly PhotoEntry[]): Match[] {
  const left = [...shots];
  return photos.map((photo) => {
    const { up, front } = standing(photo)!;
    const at = left.findIndex(({ shot }) => shot.up === up && shot.front === front);
    return { photo, planned: at < 0 ? null : left.splice(at, 1)[0]! };
  });
}

/** How the die stands for the list's purposes: where its front is open, as planned, if that number is up. Null where it is not known. */
function standing({ up, front, planned, seen }: PhotoEntry): { readonly up: string; readonly front: string } | null {
  if (front !== '') return { up, front };
  return planned !== null && seen?.up === planned.up && seen.front === null ? planned : null;
}

const shotOf = (photo: PhotoEntry, planned?: PlannedShot): PlannedShot => ({
  ...standing(photo)!,
  lean: typeof photo.judged?.lean === 'number' ? radians(photo.judged.lean) : (planned?.lean ?? SOME_LEAN),
  turn: planned?.turn ?? 0,
});

import type { DieFit } from '../fit/die-fit.ts';
import type { DieState, FitPhoto } from '../fit/die-state.ts';
import type { ShapePrior } from '../fit/normal-equations.ts';
import type { OpenAnswer } from '../fit/open-turns.ts';
import type { Tau } from '../fit/stretches.ts';
import type { DieSolid } from '../geometry/solid.ts';
import type { ShutterCalibration } from '../vision/shutter.ts';
import type { Sheen } from '../vision/sheen.ts';
import type { Response } from '../vision/profile.ts';
import type { Added } from './look.ts';
import type { PhotoLook, RoundResult } from './rounds.ts';
import type { Job } from '../formats/result.ts';
import type { Mm } from '../units.ts';

/** All that is known once a set has been measured, before it is put into words and numbers. */
export interface Measured {
  readonly job: Job;
  readonly solid: DieSolid;
  readonly state: DieState;
  readonly fit: DieFit;
  readonly photos: readonly FitPhoto[];
  readonly used: readonly Added[];
  readonly looks: readonly PhotoLook[];
  readonly rounds: readonly RoundResult[];
  readonly calibration: ShutterCalibration;
  readonly sheen: Sheen;
  readonly response: Response;
  readonly responseU: number;
  readonly tau: Tau;
  readonly prior: ShapePrior;
  /** Mean crown that was found and is higher than such a die can have, mm: it was measured as flat then. */
  readonly unlikelyCrown?: Mm;
  /** Set where crowns were found that do not stand out, and more of them than a flat die shows: what else looks flat says nothing then. */
  readonly crownHint?: true;
  /** What is open of the numbers in front, where some are. */
  readonly open?: OpenAnswer;
}

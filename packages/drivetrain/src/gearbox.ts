import { type BusDialect, clutchExchange, type Platform, type Program } from '@syncline/calibration';
import { clutchLever, type Gearset, gearRatio } from './gearset.js';

/** A platform with what a simulator must know beyond it: the hardware that its calibrations are made for. */
export interface Gearbox {
  readonly platform: Platform;
  /** By clutch id. */
  readonly clutches: Readonly<Record<string, ClutchHardware>>;
  /** By shift id. */
  readonly exchanges: Readonly<Record<string, Exchange>>;
}

/** One clutch as designed. */
export interface ClutchHardware {
  /** Torque at the clutch per pressure over the return spring, at 90 °C (N·m/kPa). */
  readonly gainNmPerKpa: number;
  /** Pressure that its return spring takes (kPa). */
  readonly returnPressureKpa: number;
  /** Time to fill at 90 °C and the reference pressure (s). */
  readonly fillTimeS: number;
}

/** The two clutches of a shift; lever: input torque carried per unit of clutch torque, in the gear of that clutch. */
export interface Exchange {
  readonly oncoming: string;
  readonly oncomingLever: number;
  readonly offgoing: string;
  readonly offgoingLever: number;
}

export interface GearboxDesign {
  readonly id: string;
  readonly title: string;
  readonly gearset: Gearset;
  /** Application chart: clutches applied in gear 1, 2, 3 … */
  readonly chart: readonly (readonly string[])[];
  readonly clutches: readonly (ClutchHardware & { readonly id: string; readonly title: string })[];
  /** Shifts that leave out gears, as ids such as `6-4`; those between neighbours come by themselves. */
  readonly skipShifts: readonly string[];
  readonly programs: readonly Program[];
  readonly dialects: readonly BusDialect[];
  readonly ratedInputTorqueNm: number;
  readonly inputInertiaKgM2: number;
}

/** Ratios (Willis' equation) and levers of a gearbox from its tooth counts. Every shift must exchange one clutch for one. */
export function makeGearbox(design: GearboxDesign): Gearbox {
  const { gearset, chart } = design;
  const platform: Platform = {
    id: design.id,
    title: design.title,
    gears: chart.map((applied, i) => ({ gear: i + 1, ratio: roundRatio(gearRatio(gearset, applied)), applied })),
    clutches: design.clutches.map(({ id, title }) => ({ id, title, kind: kindOf(gearset, id) })),
    shifts: shiftIds(chart.length, design.skipShifts).map(parseShift),
    programs: design.programs,
    dialects: design.dialects,
    ratedInputTorqueNm: design.ratedInputTorqueNm,
    inputInertiaKgM2: design.inputInertiaKgM2,
  };
  const levers = (gear: number, clutch: string): number =>
    clutchLever(
      gearset,
      chart[gear - 1].filter((id) => id !== clutch),
      clutch,
    );
  return assemble(platform, design.clutches, levers);
}

/** A gearbox whose ratios are simply given in the platform; every clutch then acts on the input with lever 1. */
export function gearboxFromRatios(
  platform: Platform,
  clutches: readonly (ClutchHardware & { readonly id: string })[],
): Gearbox {
  return assemble(platform, clutches, () => 1);
}

function assemble(
  platform: Platform,
  clutches: readonly (ClutchHardware & { readonly id: string })[],
  leverOf: (gear: number, clutch: string) => number,
): Gearbox {
  const exchangeOf = (from: number, to: number): Exchange => {
    const { oncoming, offgoing } = clutchExchange(platform, from, to);
    if (oncoming.length !== 1 || offgoing.length !== 1) {
      throw new Error(
        `Shift ${from}-${to} exchanges [${offgoing.join()}] for [${oncoming.join()}]; expected one clutch for one.`,
      );
    }
    return {
      oncoming: oncoming[0],
      oncomingLever: leverOf(to, oncoming[0]),
      offgoing: offgoing[0],
      offgoingLever: leverOf(from, offgoing[0]),
    };
  };
  return {
    platform,
    clutches: Object.fromEntries(clutches.map((clutch) => [clutch.id, clutch])),
    exchanges: Object.fromEntries(platform.shifts.map(({ id, from, to }) => [id, exchangeOf(from, to)])),
  };
}

function shiftIds(gearCount: number, skipShifts: readonly string[]): string[] {
  const pairs = Array.from({ length: gearCount - 1 }, (_, i) => [i + 1, i + 2]);
  return [
    ...pairs.map(([low, high]) => `${low}-${high}`),
    ...pairs.map(([low, high]) => `${high}-${low}`),
    ...skipShifts,
  ];
}

function parseShift(id: string): { id: string; from: number; to: number } {
  const [from, to] = id.split('-').map(Number);
  return { id, from, to };
}

function kindOf(gearset: Gearset, clutchId: string): 'clutch' | 'brake' {
  return gearset.clutches.find(({ id }) => id === clutchId)?.joins.length === 1 ? 'brake' : 'clutch';
}

// Ratios go into documents and profiles; five decimals are finer than any speed sensor.
function roundRatio(ratio: number): number {
  return Math.round(ratio * 1e5) / 1e5;
}

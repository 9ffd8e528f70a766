import type { RevisionContent } from '@syncline/calibration';
import {
  type Car,
  type DriveSetup,
  MARRAM_DIALECT,
  matchedContent,
  type Route,
  routeFromTrace,
  STEADY_SAMPLING,
  TERN_GEARBOX,
  TERN_LAYOUT,
  USUAL_SENSORS,
} from '../src/index.js';

/** A pick-up exactly as the Tern was designed for. */
export function aCar(changes: Partial<Car> = {}): Car {
  return {
    id: 'example',
    tester: 'Thrift',
    title: 'Pick-up',
    vehicle: { massKg: 2300, tyreRadiusM: 0.36, finalDriveRatio: 3.7, rollingCoefficient: 0.012, dragAreaM2: 1.4 },
    engine: {
      peakTorqueNm: 400,
      bestSpeedRpm: 2300,
      idleRpm: 800,
      governedRpm: 4300,
      inertiaKgM2: 0.22,
      torqueLagS: 0.12,
    },
    converter: { stallCapacity: 0.0062, stallTorqueRatio: 1.85, couplingPoint: 0.88, overrunCapacity: 0.6 },
    inputInertiaKgM2: 0.2,
    clutchGain: {},
    fillBias: 1,
    lagBias: 1,
    torqueSignalGain: 1,
    valveHoldS: 0.25,
    sensors: USUAL_SENSORS,
    sampling: STEADY_SAMPLING,
    dialect: MARRAM_DIALECT,
    declaredDialectId: MARRAM_DIALECT.id,
    ...changes,
  };
}

/** A warm drive of a car as designed with tables that suit it. */
export function aDrive(route: Route, changes: Partial<DriveSetup> = {}): DriveSetup & { seed: number } {
  return {
    gearbox: TERN_GEARBOX,
    car: aCar(),
    layout: TERN_LAYOUT,
    content: matchedContent(TERN_GEARBOX, TERN_LAYOUT),
    program: 'normal',
    route,
    startTemperatureC: 88,
    ambientC: 20,
    seed: 1,
    ...changes,
  };
}

/** From standstill up at a steady acceleration (m/s²), then coasting and braking down again. */
export function upAndDown(acceleration: number, topKmh = 90, grade = 0): Route {
  const top = topKmh / 3.6;
  const speed = [0, 0, 0];
  for (let v = 0; v < top; v += acceleration) speed.push(v);
  for (let i = 0; i < 8; i++) speed.push(top);
  for (let v = top; v > 0; v -= 1.2) speed.push(v);
  speed.push(0, 0, 0);
  return routeFromTrace(
    1,
    speed,
    speed.map(() => grade),
  );
}

/** The same content with every value of a table changed. */
export function withTable(
  content: RevisionContent,
  id: string,
  change: (value: number, variant: string) => number,
): RevisionContent {
  const table = content.tables[id];
  const values = Object.entries(table.values).map(([name, old]) => [name, old.map((x) => change(x, name))] as const);
  return { ...content, tables: { ...content.tables, [id]: { ...table, values: Object.fromEntries(values) } } };
}

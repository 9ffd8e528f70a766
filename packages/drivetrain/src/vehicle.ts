/** What resists a vehicle's motion. */
export interface Vehicle {
  readonly massKg: number;
  /** Rolling radius of the driven wheels (m). */
  readonly tyreRadiusM: number;
  /** Output-shaft speed over wheel speed. */
  readonly finalDriveRatio: number;
  readonly rollingCoefficient: number;
  /** Drag coefficient times frontal area (m²). */
  readonly dragAreaM2: number;
}

const GRAVITY = 9.81;
const AIR_DENSITY = 1.2;
/** Wheels, shafts and brakes add this share to the mass that is accelerated. */
const ROTATING_SHARE = 0.04;

/** Inertia of the whole vehicle at the gearbox output (kg·m²). */
export function vehicleInertia(vehicle: Vehicle): number {
  return vehicle.massKg * (1 + ROTATING_SHARE) * metresPerRad(vehicle) ** 2;
}

/** Distance travelled per radian of the output shaft (m). */
export function metresPerRad(vehicle: Vehicle): number {
  return vehicle.tyreRadiusM / vehicle.finalDriveRatio;
}

/** Force of air and slope against the motion (N); `grade` is rise over run, speed in m/s. */
export function airAndGradeForce(vehicle: Vehicle, speed: number, grade: number): number {
  return (
    0.5 * AIR_DENSITY * vehicle.dragAreaM2 * speed * Math.abs(speed) +
    (vehicle.massKg * GRAVITY * grade) / Math.sqrt(1 + grade * grade)
  );
}

/** Rolling resistance (N): dry friction, so it can hold the vehicle but never push it. */
export function rollingForce(vehicle: Vehicle): number {
  return vehicle.rollingCoefficient * vehicle.massKg * GRAVITY;
}

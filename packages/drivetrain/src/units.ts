const RAD_PER_S_PER_RPM = Math.PI / 30;

/** Speed in rad/s from rpm. */
export function radPerS(rpm: number): number {
  return rpm * RAD_PER_S_PER_RPM;
}

/** Speed in rpm from rad/s. */
export function toRpm(speedRadPerS: number): number {
  return speedRadPerS / RAD_PER_S_PER_RPM;
}

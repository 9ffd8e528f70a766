/** What a driver sets out to do: speed and slope at even steps of time. */
export interface Route {
  readonly stepS: number;
  /** m/s. */
  readonly speed: Float64Array;
  /** Rise over run. */
  readonly grade: Float64Array;
}

/** Duration (s). */
export function routeDuration(route: Route): number {
  return (route.speed.length - 1) * route.stepS;
}

/** Value of a series at a time, linear between samples and flat outside. */
export function seriesAt(series: Float64Array, stepS: number, timeS: number): number {
  const last = series.length - 1;
  const x = Math.min(Math.max(timeS / stepS, 0), last);
  const index = Math.min(Math.floor(x), last - 1);
  return index < 0 ? series[0] : series[index] + (x - index) * (series[index + 1] - series[index]);
}

/** A route from a speed trace such as a driving cycle; times in seconds must be evenly spaced from 0. */
export function routeFromTrace(stepS: number, speed: ArrayLike<number>, grade: ArrayLike<number> = []): Route {
  return {
    stepS,
    speed: Float64Array.from(speed),
    grade: Float64Array.from({ length: speed.length }, (_, i) => grade[i] ?? 0),
  };
}

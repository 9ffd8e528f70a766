/** One line of a time plot. `min` and `max` differ where one point stands for many samples; then a band is drawn. */
export interface PlotSeries {
  readonly id: string;
  readonly title: string;
  readonly unit: string;
  readonly min: readonly (number | null)[];
  readonly max: readonly (number | null)[];
  /** Name of a colour in tokens.css. */
  readonly colour: string;
  /** Pattern in px, so that lines differ without colour too. */
  readonly dash?: readonly number[];
  readonly width?: number;
  /** Holds its value until the next sample: gears, valves. */
  readonly isStepped?: boolean;
}

/** A moment drawn as a vertical line; its pattern, explained beside the plot, tells it from others. */
export interface PlotMoment {
  readonly timeS: number;
  readonly dash: readonly number[];
}

/** A phase drawn as a shaded span with a word at its top. */
export interface PlotPhase {
  readonly fromS: number;
  readonly toS: number;
  readonly word: string;
  /** Name of a colour in tokens.css; drawn as a faint wash. */
  readonly colour: string;
  readonly isHatched: boolean;
}

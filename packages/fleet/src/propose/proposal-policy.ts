/** What a maintainer lets a proposal do (methods.md 6). */
export interface ProposalPolicy {
  /** Least effective number of shifts behind a node that may move. */
  readonly minShifts: number;
  /** Least effective number of vehicles. */
  readonly minVehicles: number;
  /** Highest posterior standard deviation, ln. */
  readonly maxSdLn: number;
  /** A correction below this many of its own standard deviations is left alone. */
  readonly leastSignal: number;
  /** Largest change of a node in one revision, as part of its value. */
  readonly maxStep: number;
  /** A node over which more than this share of shifts flared is never lowered. */
  readonly maxFlareRate: number;
  /**
   * Whether a node with too thin evidence of its own may go along with a neighbour that has it, as far as the layout's
   * course or slope asks and no further. Without it such a node holds its neighbours: a map that is too low at loads that
   * nobody reaches can then never be raised below them, however much it flares there.
   */
  readonly carriesThin: boolean;
}

/**
 * The step is methods.md's. The rest is common practice put into numbers: a dozen shifts of three cars are the least
 * that tells a map from a car, and one standard deviation is the least that more likely helps than harms.
 */
export const DEFAULT_PROPOSAL_POLICY: ProposalPolicy = {
  minShifts: 12,
  minVehicles: 3,
  maxSdLn: 0.06,
  leastSignal: 1,
  maxStep: 0.08,
  maxFlareRate: 0.02,
  carriesThin: false,
};

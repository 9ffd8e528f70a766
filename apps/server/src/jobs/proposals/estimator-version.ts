/**
 * Raise it with every change that makes the same shifts give other moments, or the same moments another proposal: kept
 * moments are then made anew, and the same question gets a new proposal.
 */
export const ESTIMATOR_VERSION = 4;

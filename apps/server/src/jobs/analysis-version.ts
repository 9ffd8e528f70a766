/**
 * Raise it with every change that makes the same log give other shifts or measures, so that results can be told apart.
 * A server that starts with a higher one than the results it finds begins an analysis run by itself.
 */
export const ANALYSIS_VERSION = 2;

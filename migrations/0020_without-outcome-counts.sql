DROP TABLE `outcome_counts`;
-- shrinks: outcome_counts

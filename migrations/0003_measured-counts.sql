-- Written by hand: the last statement, which counts what the shifts of before could tell; the rest is as drizzle-kit made it.
DROP INDEX `outcome_counts_by_vehicle`;--> statement-breakpoint
ALTER TABLE `outcome_counts` ADD `flare_measured` integer DEFAULT 0 NOT NULL;--> statement-breakpoint
ALTER TABLE `outcome_counts` ADD `tie_up_measured` integer DEFAULT 0 NOT NULL;--> statement-breakpoint
ALTER TABLE `outcome_counts` ADD `harsh_measured` integer DEFAULT 0 NOT NULL;--> statement-breakpoint
ALTER TABLE `outcome_counts` ADD `slow_measured` integer DEFAULT 0 NOT NULL;--> statement-breakpoint
CREATE INDEX `outcome_counts_by_vehicle` ON `outcome_counts` (`vehicle_id`,`kind`,`shifts`,`flare`,`tie_up`,`harsh`,`slow`,`incomplete`,`clean`,`flare_measured`,`tie_up_measured`,`harsh_measured`,`slow_measured`);--> statement-breakpoint
UPDATE `outcome_counts` AS kept SET
  `flare_measured` = counted.flare_measured, `tie_up_measured` = counted.tie_up_measured,
  `harsh_measured` = counted.harsh_measured, `slow_measured` = counted.slow_measured
FROM (
  SELECT platform_id, coalesce(revision_id, '') AS revision_id, kind, load_band, fluid_temperature_band,
    coalesce(program, '') AS program, speed_band, vehicle_id,
    sum(inertia_start_s IS NOT NULL OR grades & 2 != 0) AS flare_measured, count(tie_up_depth) AS tie_up_measured,
    count(peak_jerk) AS harsh_measured, count(inertia_time_s) AS slow_measured
  FROM shifts GROUP BY 1, 2, 3, 4, 5, 6, 7, 8) AS counted
WHERE kept.platform_id = counted.platform_id AND kept.revision_id = counted.revision_id AND kept.kind = counted.kind
  AND kept.load_band = counted.load_band AND kept.fluid_temperature_band = counted.fluid_temperature_band
  AND kept.program = counted.program AND kept.speed_band = counted.speed_band AND kept.vehicle_id = counted.vehicle_id;

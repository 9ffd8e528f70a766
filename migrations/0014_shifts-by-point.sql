DROP INDEX `logs_by_upload`;--> statement-breakpoint
CREATE INDEX `shifts_by_point` ON `shifts` (`platform_id`,`kind`,`load_band`,`fluid_temperature_band`);
-- Written by hand: maps of before are those of CSV files, the only ones read then; observations of before were held
-- against what is declared now, as far as is known. The rest is as drizzle-kit made it.
CREATE TABLE `bus_captures` (
	`log_id` text PRIMARY KEY NOT NULL,
	`vehicle_id` text NOT NULL,
	`traffics` text NOT NULL,
	`declared_dialect` text,
	`checked_at_ms` integer NOT NULL,
	`bus_interface` text,
	`frames` integer NOT NULL,
	`duration_s` real NOT NULL,
	`identifier_count` integer NOT NULL,
	`observed_dialect` text,
	`doubt` text,
	`reason` text NOT NULL,
	`margin` real,
	`scores` text NOT NULL,
	`observation_id` text,
	FOREIGN KEY (`log_id`) REFERENCES `logs`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`vehicle_id`) REFERENCES `vehicles`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`observation_id`) REFERENCES `dialect_observations`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `bus_captures_by_vehicle` ON `bus_captures` (`vehicle_id`,`log_id`);--> statement-breakpoint
CREATE TABLE `bus_signal_lists` (
	`platform_id` text NOT NULL,
	`dialect_id` text NOT NULL,
	`version` integer NOT NULL,
	`document` text NOT NULL,
	`created_at_ms` integer NOT NULL,
	`by_name` text NOT NULL,
	PRIMARY KEY(`platform_id`, `dialect_id`, `version`),
	FOREIGN KEY (`platform_id`) REFERENCES `platforms`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `dialect_profiles` (
	`platform_id` text NOT NULL,
	`dialect_id` text NOT NULL,
	`version` integer NOT NULL,
	`document` text NOT NULL,
	`capture_ids` text NOT NULL,
	`created_at_ms` integer NOT NULL,
	`by_name` text NOT NULL,
	PRIMARY KEY(`platform_id`, `dialect_id`, `version`),
	FOREIGN KEY (`platform_id`) REFERENCES `platforms`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `dialect_decisions` (
	`id` text PRIMARY KEY NOT NULL,
	`vehicle_id` text NOT NULL,
	`decision` text NOT NULL,
	`reason` text NOT NULL,
	`declared_dialect` text,
	`observed_dialect` text,
	`by_name` text NOT NULL,
	`decided_at_ms` integer NOT NULL,
	`lapsed_at_ms` integer,
	FOREIGN KEY (`vehicle_id`) REFERENCES `vehicles`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `dialect_decisions_by_vehicle` ON `dialect_decisions` (`vehicle_id`,`id`);--> statement-breakpoint
CREATE TABLE `__new_signal_maps` (
	`vehicle_id` text NOT NULL,
	`format` text NOT NULL,
	`document` text NOT NULL,
	`updated_at_ms` integer NOT NULL,
	PRIMARY KEY(`vehicle_id`, `format`),
	FOREIGN KEY (`vehicle_id`) REFERENCES `vehicles`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
INSERT INTO `__new_signal_maps`("vehicle_id", "format", "document", "updated_at_ms") SELECT "vehicle_id", 'csv', "document", "updated_at_ms" FROM `signal_maps`;--> statement-breakpoint
DROP TABLE `signal_maps`;--> statement-breakpoint
ALTER TABLE `__new_signal_maps` RENAME TO `signal_maps`;--> statement-breakpoint
ALTER TABLE `log_artefacts` ADD `quality` text;--> statement-breakpoint
ALTER TABLE `dialect_observations` ADD `declared_dialect` text;--> statement-breakpoint
UPDATE `dialect_observations` SET `declared_dialect` = (
  SELECT `vehicles`.`declared_dialect` FROM `vehicles` WHERE `vehicles`.`id` = `dialect_observations`.`vehicle_id`);

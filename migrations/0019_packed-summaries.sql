-- Written by hand: the last statement, which has the summaries counted when the store is opened; the rest is as drizzle-kit made it.
CREATE TABLE `fleet_slices` (
	`id` integer PRIMARY KEY NOT NULL,
	`platform_id` text NOT NULL,
	`revision_id` text NOT NULL,
	`vehicle_id` text NOT NULL,
	`version` integer NOT NULL,
	`shifts` integer NOT NULL,
	`flare` integer NOT NULL,
	`tie_up` integer NOT NULL,
	`harsh` integer NOT NULL,
	`slow` integer NOT NULL,
	`incomplete` integer NOT NULL,
	`clean` integer NOT NULL,
	`flare_measured` integer NOT NULL,
	`tie_up_measured` integer NOT NULL,
	`harsh_measured` integer NOT NULL,
	`slow_measured` integer NOT NULL,
	`outcomes` blob NOT NULL,
	`measures` blob NOT NULL,
	CONSTRAINT "fleet_slices_not_empty" CHECK("fleet_slices"."shifts" > 0)
);
--> statement-breakpoint
CREATE UNIQUE INDEX `fleet_slices_by_place` ON `fleet_slices` (`platform_id`,`revision_id`,`vehicle_id`);--> statement-breakpoint
CREATE INDEX `fleet_slices_by_vehicle` ON `fleet_slices` (`vehicle_id`);--> statement-breakpoint
CREATE TABLE `summary_names` (
	`platform_id` text NOT NULL,
	`what` text NOT NULL,
	`number` integer NOT NULL,
	`name` text NOT NULL,
	PRIMARY KEY(`platform_id`, `what`, `number`)
);
--> statement-breakpoint
CREATE UNIQUE INDEX `summary_names_by_name` ON `summary_names` (`platform_id`,`what`,`name`);--> statement-breakpoint
CREATE TABLE `summary_state` (
	`id` integer PRIMARY KEY NOT NULL,
	`version` integer NOT NULL,
	`is_stale` integer NOT NULL
);--> statement-breakpoint
INSERT INTO `summary_state` (`id`, `version`, `is_stale`) VALUES (1, 0, 1);

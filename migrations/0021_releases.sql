CREATE TABLE `control_unit_events` (
	`id` text PRIMARY KEY NOT NULL,
	`unit_id` text NOT NULL,
	`at_ms` integer NOT NULL,
	`by_name` text NOT NULL,
	`change` text NOT NULL,
	`note` text NOT NULL,
	FOREIGN KEY (`unit_id`) REFERENCES `control_units`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `control_unit_events_by_unit` ON `control_unit_events` (`unit_id`,`id`);--> statement-breakpoint
CREATE TABLE `control_units` (
	`id` text PRIMARY KEY NOT NULL,
	`serial` text NOT NULL,
	`platform_id` text NOT NULL,
	`hardware` text NOT NULL,
	`firmware` text NOT NULL,
	`layout_version` integer,
	`holder_id` text,
	`vehicle_id` text,
	`fitted_at_ms` integer,
	`is_retired` integer DEFAULT false NOT NULL,
	`created_at_ms` integer NOT NULL,
	FOREIGN KEY (`platform_id`) REFERENCES `platforms`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`holder_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`vehicle_id`) REFERENCES `vehicles`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE UNIQUE INDEX `control_units_by_serial` ON `control_units` (`serial`);--> statement-breakpoint
CREATE UNIQUE INDEX `control_units_by_vehicle` ON `control_units` (`vehicle_id`);--> statement-breakpoint
CREATE INDEX `control_units_by_holder` ON `control_units` (`holder_id`);--> statement-breakpoint
CREATE INDEX `control_units_by_make` ON `control_units` (`hardware`,`firmware`);--> statement-breakpoint
CREATE TABLE `unit_recalls` (
	`id` text PRIMARY KEY NOT NULL,
	`hardware` text,
	`firmware` text,
	`words` text NOT NULL,
	`by_name` text NOT NULL,
	`at_ms` integer NOT NULL
);
--> statement-breakpoint
CREATE TABLE `unit_waits` (
	`application_id` text PRIMARY KEY NOT NULL,
	`since_ms` integer NOT NULL,
	`by_name` text NOT NULL,
	FOREIGN KEY (`application_id`) REFERENCES `applications`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE TABLE `hooks` (
	`id` text PRIMARY KEY NOT NULL,
	`url` text NOT NULL,
	`secret` text NOT NULL,
	`created_by_name` text NOT NULL,
	`created_at_ms` integer NOT NULL,
	`removed_at_ms` integer
);
--> statement-breakpoint
CREATE TABLE `notices` (
	`id` text PRIMARY KEY NOT NULL,
	`channel` text NOT NULL,
	`recipient` text NOT NULL,
	`about` text NOT NULL,
	`subject` text NOT NULL,
	`body` text NOT NULL,
	`state` text NOT NULL,
	`attempts` integer NOT NULL,
	`next_at_ms` integer NOT NULL,
	`last_error` text NOT NULL,
	`created_at_ms` integer NOT NULL,
	`sent_at_ms` integer
);
--> statement-breakpoint
CREATE INDEX `notices_by_due` ON `notices` (`state`,`next_at_ms`);--> statement-breakpoint
CREATE INDEX `notices_by_about` ON `notices` (`about`);--> statement-breakpoint
CREATE TABLE `downloads` (
	`id` text PRIMARY KEY NOT NULL,
	`release_id` text NOT NULL,
	`revision_id` text NOT NULL,
	`vehicle_id` text NOT NULL,
	`person_id` text,
	`person_name` text NOT NULL,
	`content_hash` text NOT NULL,
	`file_sha256` text NOT NULL,
	`format` text NOT NULL,
	`at_ms` integer NOT NULL,
	FOREIGN KEY (`release_id`) REFERENCES `releases`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`revision_id`) REFERENCES `revisions`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`vehicle_id`) REFERENCES `vehicles`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`person_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `downloads_by_release` ON `downloads` (`release_id`,`id`);--> statement-breakpoint
CREATE INDEX `downloads_by_vehicle` ON `downloads` (`vehicle_id`,`id`);--> statement-breakpoint
CREATE TABLE `release_cars` (
	`release_id` text NOT NULL,
	`vehicle_id` text NOT NULL,
	`stage` integer NOT NULL,
	`taken_at_ms` integer NOT NULL,
	`answer` text NOT NULL,
	`answer_note` text DEFAULT '' NOT NULL,
	`answered_at_ms` integer,
	PRIMARY KEY(`release_id`, `vehicle_id`),
	FOREIGN KEY (`release_id`) REFERENCES `releases`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`vehicle_id`) REFERENCES `vehicles`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `release_cars_by_vehicle` ON `release_cars` (`vehicle_id`,`release_id`);--> statement-breakpoint
CREATE TABLE `release_events` (
	`id` text PRIMARY KEY NOT NULL,
	`release_id` text NOT NULL,
	`kind` text NOT NULL,
	`stage` integer NOT NULL,
	`reason` text NOT NULL,
	`by_name` text NOT NULL,
	`at_ms` integer NOT NULL,
	FOREIGN KEY (`release_id`) REFERENCES `releases`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `release_events_by_release` ON `release_events` (`release_id`,`id`);--> statement-breakpoint
CREATE TABLE `release_looks` (
	`id` text PRIMARY KEY NOT NULL,
	`release_id` text NOT NULL,
	`at_ms` integer NOT NULL,
	`shifts` integer NOT NULL,
	`verdict` text NOT NULL,
	`parts` text NOT NULL,
	FOREIGN KEY (`release_id`) REFERENCES `releases`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `release_looks_by_release` ON `release_looks` (`release_id`,`id`);--> statement-breakpoint
CREATE TABLE `releases` (
	`id` text PRIMARY KEY NOT NULL,
	`platform_id` text NOT NULL,
	`revision_id` text NOT NULL,
	`content_hash` text NOT NULL,
	`replaces_id` text,
	`words` text NOT NULL,
	`cohort` text NOT NULL,
	`stages` text NOT NULL,
	`harm_limit` real NOT NULL,
	`state` text NOT NULL,
	`stage` integer NOT NULL,
	`created_by_name` text NOT NULL,
	`created_at_ms` integer NOT NULL,
	FOREIGN KEY (`platform_id`) REFERENCES `platforms`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`revision_id`) REFERENCES `revisions`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`replaces_id`) REFERENCES `revisions`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `releases_by_platform` ON `releases` (`platform_id`,`id`);--> statement-breakpoint
CREATE INDEX `releases_by_revision` ON `releases` (`revision_id`);--> statement-breakpoint
CREATE INDEX `releases_by_content` ON `releases` (`content_hash`);--> statement-breakpoint
ALTER TABLE `logs` ADD `stated_calibration` text;--> statement-breakpoint
ALTER TABLE `logs` ADD `stated_revision_id` text REFERENCES revisions(id);--> statement-breakpoint
ALTER TABLE `vehicles` ADD `tags` text DEFAULT '[]' NOT NULL;
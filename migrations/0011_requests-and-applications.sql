CREATE TABLE `applications` (
	`id` text PRIMARY KEY NOT NULL,
	`state` text NOT NULL,
	`name` text NOT NULL,
	`email` text NOT NULL,
	`car` text NOT NULL,
	`engine` text NOT NULL,
	`gearbox_label` text NOT NULL,
	`platform_id` text,
	`dialect` text,
	`place` text NOT NULL,
	`climates` text NOT NULL,
	`yearly_km` integer,
	`logger` text NOT NULL,
	`consent_version` integer NOT NULL,
	`received_at_ms` integer NOT NULL,
	`decided_by_name` text,
	`decided_at_ms` integer,
	`note` text DEFAULT '' NOT NULL,
	`invitation_id` text,
	FOREIGN KEY (`platform_id`) REFERENCES `platforms`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`invitation_id`) REFERENCES `invitations`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `applications_by_state` ON `applications` (`state`,`id`);--> statement-breakpoint
CREATE INDEX `applications_by_email` ON `applications` (`email`);--> statement-breakpoint
CREATE TABLE `recruitment` (
	`id` integer PRIMARY KEY NOT NULL,
	`is_open` integer NOT NULL,
	`call_text` text NOT NULL,
	`changed_by_name` text NOT NULL,
	`changed_at_ms` integer NOT NULL
);
--> statement-breakpoint
CREATE TABLE `drive_requests` (
	`id` text PRIMARY KEY NOT NULL,
	`platform_id` text NOT NULL,
	`revision_id` text,
	`kind` text NOT NULL,
	`load_band` integer NOT NULL,
	`fluid_temperature_band` integer NOT NULL,
	`program` text,
	`wanted_shifts` integer NOT NULL,
	`wanted_vehicles` integer NOT NULL,
	`words` text NOT NULL,
	`reason` text NOT NULL,
	`state` text NOT NULL,
	`created_by_id` text,
	`created_by_name` text NOT NULL,
	`created_at_ms` integer NOT NULL,
	`expires_at_ms` integer NOT NULL,
	`closed_at_ms` integer,
	`closed_by_name` text,
	`closing_note` text DEFAULT '' NOT NULL,
	FOREIGN KEY (`platform_id`) REFERENCES `platforms`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`revision_id`) REFERENCES `revisions`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`created_by_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `drive_requests_by_state` ON `drive_requests` (`state`,`platform_id`,`id`);--> statement-breakpoint
CREATE TABLE `request_cars` (
	`request_id` text NOT NULL,
	`vehicle_id` text NOT NULL,
	`state` text NOT NULL,
	`reason` text DEFAULT '' NOT NULL,
	`answered_at_ms` integer,
	PRIMARY KEY(`request_id`, `vehicle_id`),
	FOREIGN KEY (`request_id`) REFERENCES `drive_requests`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`vehicle_id`) REFERENCES `vehicles`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `request_cars_by_vehicle` ON `request_cars` (`vehicle_id`,`request_id`);--> statement-breakpoint
CREATE TABLE `request_tallies` (
	`request_id` text NOT NULL,
	`vehicle_id` text NOT NULL,
	`shifts` integer NOT NULL,
	PRIMARY KEY(`request_id`, `vehicle_id`),
	FOREIGN KEY (`request_id`) REFERENCES `drive_requests`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`vehicle_id`) REFERENCES `vehicles`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `logs_by_upload` ON `logs` (`uploaded_at_ms`);
-- Written by hand: WITHOUT ROWID at outcome_counts; all else is as drizzle-kit made it.
CREATE TABLE `audit` (
	`id` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`at_ms` integer NOT NULL,
	`actor_kind` text NOT NULL,
	`actor_id` text,
	`actor_name` text NOT NULL,
	`action` text NOT NULL,
	`target` text NOT NULL,
	`detail` text NOT NULL,
	`request_id` text NOT NULL
);
--> statement-breakpoint
CREATE INDEX `audit_by_target` ON `audit` (`target`);--> statement-breakpoint
CREATE TABLE `calibrations` (
	`id` text PRIMARY KEY NOT NULL,
	`platform_id` text NOT NULL,
	`title` text NOT NULL,
	`note` text NOT NULL,
	`created_at_ms` integer NOT NULL,
	FOREIGN KEY (`platform_id`) REFERENCES `platforms`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `contents` (
	`hash` text PRIMARY KEY NOT NULL,
	`canonical_json` text NOT NULL
);
--> statement-breakpoint
CREATE TABLE `revisions` (
	`id` text PRIMARY KEY NOT NULL,
	`calibration_id` text NOT NULL,
	`number` integer NOT NULL,
	`parent_id` text,
	`platform_id` text NOT NULL,
	`layout_version` integer NOT NULL,
	`content_hash` text NOT NULL,
	`message` text NOT NULL,
	`author_id` text,
	`author_name` text NOT NULL,
	`created_at_ms` integer NOT NULL,
	FOREIGN KEY (`calibration_id`) REFERENCES `calibrations`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`parent_id`) REFERENCES `revisions`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`content_hash`) REFERENCES `contents`(`hash`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`author_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`platform_id`,`layout_version`) REFERENCES `layouts`(`platform_id`,`version`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE UNIQUE INDEX `revisions_by_number` ON `revisions` (`calibration_id`,`number`);--> statement-breakpoint
CREATE INDEX `revisions_by_platform` ON `revisions` (`platform_id`);--> statement-breakpoint
CREATE TABLE `jobs` (
	`id` text PRIMARY KEY NOT NULL,
	`kind` text NOT NULL,
	`input_key` text NOT NULL,
	`log_id` text,
	`tester_id` text,
	`state` text NOT NULL,
	`attempt` integer NOT NULL,
	`progress` real NOT NULL,
	`lease_owner` text,
	`lease_expires_at_ms` integer,
	`queued_at_ms` integer NOT NULL,
	`claimed_at_ms` integer,
	`ended_at_ms` integer,
	`problem_code` text,
	`problem_detail` text,
	`problem_remedy` text,
	FOREIGN KEY (`log_id`) REFERENCES `logs`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`tester_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE UNIQUE INDEX `jobs_by_input` ON `jobs` (`kind`,`input_key`);--> statement-breakpoint
CREATE INDEX `jobs_by_state` ON `jobs` (`state`,`tester_id`,`queued_at_ms`,`id`);--> statement-breakpoint
CREATE INDEX `jobs_by_tester` ON `jobs` (`tester_id`,`claimed_at_ms`);--> statement-breakpoint
CREATE INDEX `jobs_by_log` ON `jobs` (`log_id`);--> statement-breakpoint
CREATE TABLE `blobs` (
	`sha256` text PRIMARY KEY NOT NULL,
	`size_bytes` integer NOT NULL,
	`stored_bytes` integer NOT NULL,
	`encoding` text NOT NULL,
	`created_at_ms` integer NOT NULL
);
--> statement-breakpoint
CREATE TABLE `lock_ups` (
	`id` text PRIMARY KEY NOT NULL,
	`log_id` text NOT NULL,
	`start_index` integer NOT NULL,
	`end_index` integer NOT NULL,
	`command_s` real NOT NULL,
	`made_s` real,
	`released_s` real,
	`gear` integer,
	`time_to_lock_s` real,
	`steady_slip_rpm` real,
	`overshoot_rpm` real,
	`judder_rpm` real,
	`verdict` text NOT NULL,
	`shifts_inside` integer NOT NULL,
	FOREIGN KEY (`log_id`) REFERENCES `logs`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `lock_ups_by_log` ON `lock_ups` (`log_id`);--> statement-breakpoint
CREATE TABLE `log_artefacts` (
	`log_id` text PRIMARY KEY NOT NULL,
	`analysis_version` integer,
	`policy_version` integer,
	`signal_file` text,
	`signal_ids` text NOT NULL,
	`sample_findings` text,
	`read_findings` text,
	`inspection` text,
	FOREIGN KEY (`log_id`) REFERENCES `logs`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `logs` (
	`id` text PRIMARY KEY NOT NULL,
	`vehicle_id` text NOT NULL,
	`revision_id` text,
	`sha256` text NOT NULL,
	`file_name` text NOT NULL,
	`uploaded_at_ms` integer NOT NULL,
	`driven_at_ms` integer NOT NULL,
	`state` text NOT NULL,
	`progress` real NOT NULL,
	`duration_s` real,
	`problem_code` text,
	`problem_detail` text,
	`problem_remedy` text,
	FOREIGN KEY (`vehicle_id`) REFERENCES `vehicles`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`revision_id`) REFERENCES `revisions`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`sha256`) REFERENCES `blobs`(`sha256`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE UNIQUE INDEX `logs_by_bytes` ON `logs` (`vehicle_id`,`sha256`);--> statement-breakpoint
CREATE INDEX `logs_by_drive` ON `logs` (`driven_at_ms`,`id`);--> statement-breakpoint
CREATE INDEX `logs_by_vehicle` ON `logs` (`vehicle_id`,`driven_at_ms`);--> statement-breakpoint
CREATE INDEX `logs_by_revision` ON `logs` (`revision_id`);--> statement-breakpoint
CREATE INDEX `logs_by_state` ON `logs` (`state`);--> statement-breakpoint
CREATE INDEX `logs_by_blob` ON `logs` (`sha256`);--> statement-breakpoint
CREATE TABLE `notes` (
	`id` text PRIMARY KEY NOT NULL,
	`log_id` text NOT NULL,
	`at_s` real NOT NULL,
	`text` text NOT NULL,
	`by_name` text NOT NULL,
	`created_at_ms` integer NOT NULL,
	FOREIGN KEY (`log_id`) REFERENCES `logs`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `notes_by_log` ON `notes` (`log_id`,`at_s`);--> statement-breakpoint
CREATE TABLE `club` (
	`id` integer PRIMARY KEY NOT NULL,
	`name` text NOT NULL,
	`created_at_ms` integer NOT NULL,
	CONSTRAINT "club_is_single" CHECK("club"."id" = 1)
);
--> statement-breakpoint
CREATE TABLE `invitations` (
	`id` text PRIMARY KEY NOT NULL,
	`secret_hash` text NOT NULL,
	`role` text NOT NULL,
	`note` text NOT NULL,
	`created_at_ms` integer NOT NULL,
	`expires_at_ms` integer NOT NULL,
	`used_at_ms` integer,
	`used_by_id` text,
	FOREIGN KEY (`used_by_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE UNIQUE INDEX `invitations_by_secret` ON `invitations` (`secret_hash`);--> statement-breakpoint
CREATE TABLE `people` (
	`id` text PRIMARY KEY NOT NULL,
	`name` text NOT NULL,
	`email` text NOT NULL,
	`role` text NOT NULL,
	`password_hash` text NOT NULL,
	`created_at_ms` integer NOT NULL
);
--> statement-breakpoint
CREATE UNIQUE INDEX `people_by_email` ON `people` (`email`);--> statement-breakpoint
CREATE TABLE `sessions` (
	`token_hash` text PRIMARY KEY NOT NULL,
	`person_id` text NOT NULL,
	`started_at_ms` integer NOT NULL,
	`idle_expires_at_ms` integer NOT NULL,
	`absolute_expires_at_ms` integer NOT NULL,
	FOREIGN KEY (`person_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `sessions_by_person` ON `sessions` (`person_id`);--> statement-breakpoint
CREATE TABLE `layouts` (
	`platform_id` text NOT NULL,
	`version` integer NOT NULL,
	`document` text NOT NULL,
	`created_at_ms` integer NOT NULL,
	PRIMARY KEY(`platform_id`, `version`),
	FOREIGN KEY (`platform_id`) REFERENCES `platforms`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `platforms` (
	`id` text PRIMARY KEY NOT NULL,
	`title` text NOT NULL,
	`gear_count` integer NOT NULL,
	`document` text NOT NULL,
	`created_at_ms` integer NOT NULL
);
--> statement-breakpoint
CREATE TABLE `policies` (
	`platform_id` text NOT NULL,
	`version` integer NOT NULL,
	`document` text NOT NULL,
	`created_at_ms` integer NOT NULL,
	PRIMARY KEY(`platform_id`, `version`),
	FOREIGN KEY (`platform_id`) REFERENCES `platforms`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `replies` (
	`person_id` text NOT NULL,
	`key` text NOT NULL,
	`request_hash` text NOT NULL,
	`status` integer NOT NULL,
	`body` text NOT NULL,
	`kept_at_ms` integer NOT NULL,
	PRIMARY KEY(`person_id`, `key`),
	FOREIGN KEY (`person_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `replies_by_age` ON `replies` (`kept_at_ms`);--> statement-breakpoint
CREATE TABLE `outcome_counts` (
	`platform_id` text NOT NULL,
	`revision_id` text NOT NULL,
	`kind` text NOT NULL,
	`load_band` integer NOT NULL,
	`fluid_temperature_band` integer NOT NULL,
	`program` text NOT NULL,
	`speed_band` integer NOT NULL,
	`vehicle_id` text NOT NULL,
	`shifts` integer NOT NULL,
	`flare` integer NOT NULL,
	`tie_up` integer NOT NULL,
	`harsh` integer NOT NULL,
	`slow` integer NOT NULL,
	`incomplete` integer NOT NULL,
	`clean` integer NOT NULL,
	PRIMARY KEY(`platform_id`, `revision_id`, `kind`, `load_band`, `vehicle_id`, `fluid_temperature_band`, `program`, `speed_band`),
	CONSTRAINT "outcome_counts_not_negative" CHECK("outcome_counts"."shifts" >= 0)
) WITHOUT ROWID;
--> statement-breakpoint
CREATE INDEX `outcome_counts_by_vehicle` ON `outcome_counts` (`vehicle_id`,`kind`,`shifts`,`flare`,`tie_up`,`harsh`,`slow`,`incomplete`,`clean`);--> statement-breakpoint
CREATE TABLE `shifts` (
	`id` text PRIMARY KEY NOT NULL,
	`log_id` text NOT NULL,
	`vehicle_id` text NOT NULL,
	`platform_id` text NOT NULL,
	`revision_id` text,
	`driven_at_ms` integer NOT NULL,
	`analysis_version` integer NOT NULL,
	`policy_version` integer NOT NULL,
	`kind` text NOT NULL,
	`from_gear` integer NOT NULL,
	`to_gear` integer NOT NULL,
	`ended_in_gear` integer,
	`direction` text NOT NULL,
	`outcome` text NOT NULL,
	`grades` integer NOT NULL,
	`disturbances` integer NOT NULL,
	`is_skip` integer NOT NULL,
	`is_power_on` integer NOT NULL,
	`is_hunting` integer NOT NULL,
	`start_index` integer NOT NULL,
	`end_index` integer NOT NULL,
	`command_s` real NOT NULL,
	`command_source` text NOT NULL,
	`inertia_start_s` real,
	`flare_start_s` real,
	`sync_s` real,
	`ratio10_s` real,
	`ratio90_s` real,
	`program` text,
	`program_code` real,
	`load` real,
	`input_torque_nm` real,
	`engine_speed_rpm` real,
	`input_speed_rpm` real NOT NULL,
	`output_speed_rpm` real NOT NULL,
	`fluid_temperature_c` real,
	`pedal` real,
	`apply_pressure_kpa` real,
	`supply_voltage_v` real,
	`flare_rpm` real NOT NULL,
	`flare_ms` real NOT NULL,
	`flare_revolutions` real NOT NULL,
	`shift_time_s` real,
	`inertia_time_s` real,
	`delay_s` real,
	`peak_to_peak_acceleration` real,
	`peak_jerk` real,
	`tie_up_depth` real,
	`tie_up_impulse` real,
	`speed_step_rpm` real,
	`slip_energy_j` real,
	`valve_on_after_sync_s` real,
	`actual_time_s` real,
	`demand_ratio` real,
	`demand_weight` real,
	`load_band` integer NOT NULL,
	`speed_band` integer NOT NULL,
	`fluid_temperature_band` integer NOT NULL,
	FOREIGN KEY (`log_id`) REFERENCES `logs`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`vehicle_id`) REFERENCES `vehicles`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`platform_id`) REFERENCES `platforms`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`revision_id`) REFERENCES `revisions`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `shifts_by_log` ON `shifts` (`log_id`,`grades`);--> statement-breakpoint
CREATE INDEX `shifts_by_vehicle` ON `shifts` (`vehicle_id`,`driven_at_ms`,`id`);--> statement-breakpoint
CREATE INDEX `shifts_by_revision` ON `shifts` (`revision_id`,`kind`);--> statement-breakpoint
CREATE INDEX `shifts_by_kind` ON `shifts` (`kind`,`grades`,`load`,`platform_id`);--> statement-breakpoint
CREATE INDEX `shifts_by_drive` ON `shifts` (`driven_at_ms`,`id`);--> statement-breakpoint
CREATE INDEX `shifts_by_flare` ON `shifts` (`flare_rpm`,`id`);--> statement-breakpoint
CREATE INDEX `shifts_by_tie_up` ON `shifts` (`tie_up_depth`,`id`);--> statement-breakpoint
CREATE INDEX `shifts_by_jerk` ON `shifts` (`peak_jerk`,`id`);--> statement-breakpoint
CREATE INDEX `shifts_by_inertia_time` ON `shifts` (`inertia_time_s`,`id`);--> statement-breakpoint
CREATE TABLE `dialect_observations` (
	`id` text PRIMARY KEY NOT NULL,
	`vehicle_id` text NOT NULL,
	`dialect` text,
	`source` text NOT NULL,
	`note` text NOT NULL,
	`observed_at_ms` integer NOT NULL,
	`by_name` text NOT NULL,
	FOREIGN KEY (`vehicle_id`) REFERENCES `vehicles`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `dialect_observations_by_vehicle` ON `dialect_observations` (`vehicle_id`,`id`);--> statement-breakpoint
CREATE TABLE `installations` (
	`id` text PRIMARY KEY NOT NULL,
	`vehicle_id` text NOT NULL,
	`revision_id` text NOT NULL,
	`since_at_ms` integer NOT NULL,
	`until_at_ms` integer,
	FOREIGN KEY (`vehicle_id`) REFERENCES `vehicles`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`revision_id`) REFERENCES `revisions`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `installations_by_vehicle` ON `installations` (`vehicle_id`,`since_at_ms`);--> statement-breakpoint
CREATE INDEX `installations_by_revision` ON `installations` (`revision_id`);--> statement-breakpoint
CREATE TABLE `signal_maps` (
	`vehicle_id` text PRIMARY KEY NOT NULL,
	`document` text NOT NULL,
	`updated_at_ms` integer NOT NULL,
	FOREIGN KEY (`vehicle_id`) REFERENCES `vehicles`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `vehicles` (
	`id` text PRIMARY KEY NOT NULL,
	`owner_id` text NOT NULL,
	`platform_id` text NOT NULL,
	`title` text NOT NULL,
	`declared_dialect` text,
	`engine` text NOT NULL,
	`mass_kg` real NOT NULL,
	`rated_input_torque_nm` real NOT NULL,
	`input_inertia_kg_m2` real NOT NULL,
	`tyre_radius_m` real NOT NULL,
	`final_drive_ratio` real NOT NULL,
	`note` text NOT NULL,
	`created_at_ms` integer NOT NULL,
	FOREIGN KEY (`owner_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`platform_id`) REFERENCES `platforms`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `vehicles_by_owner` ON `vehicles` (`owner_id`);--> statement-breakpoint
CREATE INDEX `vehicles_by_platform` ON `vehicles` (`platform_id`);
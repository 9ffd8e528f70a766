CREATE TABLE `analysis_runs` (
	`id` text PRIMARY KEY NOT NULL,
	`platform_id` text NOT NULL,
	`reason` text NOT NULL,
	`analysis_version` integer NOT NULL,
	`policy_version` integer NOT NULL,
	`state` text NOT NULL,
	`began_at_ms` integer NOT NULL,
	`began_by_name` text NOT NULL,
	`ended_at_ms` integer,
	`ended_by_name` text,
	`end_note` text,
	`effect` text,
	FOREIGN KEY (`platform_id`) REFERENCES `platforms`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE UNIQUE INDEX `analysis_runs_open` ON `analysis_runs` (`platform_id`) WHERE "analysis_runs"."state" = 'open';--> statement-breakpoint
CREATE INDEX `analysis_runs_by_platform` ON `analysis_runs` (`platform_id`,`id`);--> statement-breakpoint
CREATE TABLE `candidate_results` (
	`run_id` text NOT NULL,
	`log_id` text NOT NULL,
	`outcome` text NOT NULL,
	`problem_code` text,
	`problem_detail` text,
	`problem_remedy` text,
	`found` text,
	`signal_file` text,
	`changes` text NOT NULL,
	`change_count` integer NOT NULL,
	PRIMARY KEY(`run_id`, `log_id`),
	FOREIGN KEY (`run_id`) REFERENCES `analysis_runs`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`log_id`) REFERENCES `logs`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `candidate_results_by_change` ON `candidate_results` (`run_id`,`change_count`,`log_id`);--> statement-breakpoint
CREATE INDEX `candidate_results_by_signal_file` ON `candidate_results` (`signal_file`);--> statement-breakpoint
CREATE TABLE `candidate_shifts` (
	`run_id` text NOT NULL,
	`log_id` text NOT NULL,
	`id` text NOT NULL,
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
	PRIMARY KEY(`run_id`, `log_id`, `id`),
	FOREIGN KEY (`run_id`) REFERENCES `analysis_runs`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`log_id`) REFERENCES `logs`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
DROP INDEX `jobs_by_state`;--> statement-breakpoint
ALTER TABLE `jobs` ADD `run_id` text REFERENCES analysis_runs(id);--> statement-breakpoint
ALTER TABLE `jobs` ADD `priority` integer DEFAULT 0 NOT NULL;--> statement-breakpoint
CREATE INDEX `jobs_by_run` ON `jobs` (`run_id`,`state`);--> statement-breakpoint
CREATE INDEX `jobs_by_state` ON `jobs` (`state`,`priority`,`tester_id`,`queued_at_ms`,`id`);--> statement-breakpoint
ALTER TABLE `log_artefacts` ADD `marks` text DEFAULT '[]' NOT NULL;--> statement-breakpoint
ALTER TABLE `notes` ADD `by_id` text REFERENCES people(id);--> statement-breakpoint
ALTER TABLE `notes` ADD `edited_at_ms` integer;--> statement-breakpoint
ALTER TABLE `platforms` ADD `policy_in_force` integer DEFAULT 1 NOT NULL;
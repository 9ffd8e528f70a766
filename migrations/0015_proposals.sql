CREATE TABLE `adaptations` (
	`id` text PRIMARY KEY NOT NULL,
	`vehicle_id` text NOT NULL,
	`revision_id` text NOT NULL,
	`read_at_ms` integer NOT NULL,
	`note` text NOT NULL,
	`document` text NOT NULL,
	`by_name` text NOT NULL,
	`created_at_ms` integer NOT NULL,
	FOREIGN KEY (`vehicle_id`) REFERENCES `vehicles`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`revision_id`) REFERENCES `revisions`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `adaptations_by_vehicle` ON `adaptations` (`vehicle_id`,`revision_id`,`read_at_ms`);--> statement-breakpoint
CREATE TABLE `proposal_decisions` (
	`id` text PRIMARY KEY NOT NULL,
	`proposal_id` text NOT NULL,
	`decision` text NOT NULL,
	`draft_id` text,
	`taken_nodes` integer NOT NULL,
	`reason` text NOT NULL,
	`by_name` text NOT NULL,
	`decided_at_ms` integer NOT NULL,
	FOREIGN KEY (`proposal_id`) REFERENCES `proposals`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`draft_id`) REFERENCES `drafts`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `proposal_decisions_by_proposal` ON `proposal_decisions` (`proposal_id`,`id`);--> statement-breakpoint
CREATE INDEX `proposal_decisions_by_draft` ON `proposal_decisions` (`draft_id`);--> statement-breakpoint
CREATE TABLE `proposal_previews` (
	`proposal_id` text PRIMARY KEY NOT NULL,
	`made_at_ms` integer NOT NULL,
	`document` text NOT NULL,
	FOREIGN KEY (`proposal_id`) REFERENCES `proposals`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `proposal_vehicles` (
	`proposal_id` text NOT NULL,
	`vehicle_id` text NOT NULL,
	`trim` text NOT NULL,
	PRIMARY KEY(`proposal_id`, `vehicle_id`),
	FOREIGN KEY (`proposal_id`) REFERENCES `proposals`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`vehicle_id`) REFERENCES `vehicles`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `proposal_vehicles_by_vehicle` ON `proposal_vehicles` (`vehicle_id`,`proposal_id`);--> statement-breakpoint
CREATE TABLE `proposals` (
	`id` text PRIMARY KEY NOT NULL,
	`calibration_id` text NOT NULL,
	`base_revision_id` text NOT NULL,
	`subject` text NOT NULL,
	`policy` text NOT NULL,
	`inputs` text NOT NULL,
	`input_hash` text NOT NULL,
	`state` text NOT NULL,
	`problem` text,
	`is_by_itself` integer NOT NULL,
	`requested_at_ms` integer NOT NULL,
	`requested_by_name` text NOT NULL,
	`made_at_ms` integer,
	`tally` text,
	`result_hash` text,
	`deflated_result` blob,
	FOREIGN KEY (`calibration_id`) REFERENCES `calibrations`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`base_revision_id`) REFERENCES `revisions`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE UNIQUE INDEX `proposals_by_input` ON `proposals` (`input_hash`);--> statement-breakpoint
CREATE INDEX `proposals_by_calibration` ON `proposals` (`calibration_id`,`id`);--> statement-breakpoint
CREATE TABLE `vehicle_evidence` (
	`vehicle_id` text NOT NULL,
	`revision_id` text NOT NULL,
	`version` integer NOT NULL,
	PRIMARY KEY(`vehicle_id`, `revision_id`)
);
--> statement-breakpoint
CREATE INDEX `vehicle_evidence_by_revision` ON `vehicle_evidence` (`revision_id`);--> statement-breakpoint
CREATE TABLE `vehicle_moments` (
	`vehicle_id` text NOT NULL,
	`revision_id` text NOT NULL,
	`subject` text NOT NULL,
	`evidence_version` integer NOT NULL,
	`estimator_version` integer NOT NULL,
	`sha256` text NOT NULL,
	`shift_count` integer NOT NULL,
	`versions` text NOT NULL,
	`deflated` blob NOT NULL,
	PRIMARY KEY(`vehicle_id`, `revision_id`, `subject`)
);

CREATE TABLE `draft_saves` (
	`draft_id` text NOT NULL,
	`version` integer NOT NULL,
	`deflated_json` blob NOT NULL,
	`changed_cells` integer NOT NULL,
	`saved_at_ms` integer NOT NULL,
	`by_name` text NOT NULL,
	PRIMARY KEY(`draft_id`, `version`),
	FOREIGN KEY (`draft_id`) REFERENCES `drafts`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `drafts` (
	`id` text PRIMARY KEY NOT NULL,
	`calibration_id` text NOT NULL,
	`platform_id` text NOT NULL,
	`layout_version` integer NOT NULL,
	`title` text NOT NULL,
	`line` text NOT NULL,
	`origin` text NOT NULL,
	`origin_note` text NOT NULL,
	`parent_id` text,
	`merge_parent_id` text,
	`reverts_id` text,
	`canonical_json` text NOT NULL,
	`content_hash` text NOT NULL,
	`baseline_json` text,
	`version` integer NOT NULL,
	`state` text NOT NULL,
	`revision_id` text,
	`locked_by_id` text,
	`locked_until_ms` integer,
	`created_at_ms` integer NOT NULL,
	`created_by_name` text NOT NULL,
	`updated_at_ms` integer NOT NULL,
	`updated_by_name` text NOT NULL,
	`editor_ids` text NOT NULL,
	FOREIGN KEY (`calibration_id`) REFERENCES `calibrations`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`parent_id`) REFERENCES `revisions`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`merge_parent_id`) REFERENCES `revisions`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`reverts_id`) REFERENCES `revisions`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`revision_id`) REFERENCES `revisions`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`locked_by_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`platform_id`,`layout_version`) REFERENCES `layouts`(`platform_id`,`version`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `drafts_by_calibration` ON `drafts` (`calibration_id`,`state`,`id`);--> statement-breakpoint
CREATE TABLE `comments` (
	`id` text PRIMARY KEY NOT NULL,
	`revision_id` text NOT NULL,
	`table_id` text,
	`variant` text,
	`row` integer,
	`column` integer,
	`text` text NOT NULL,
	`by_id` text,
	`by_name` text NOT NULL,
	`created_at_ms` integer NOT NULL,
	`resolved_by_name` text,
	`resolved_at_ms` integer,
	FOREIGN KEY (`revision_id`) REFERENCES `revisions`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`by_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `comments_by_revision` ON `comments` (`revision_id`,`id`);--> statement-breakpoint
CREATE TABLE `reviews` (
	`id` text PRIMARY KEY NOT NULL,
	`calibration_id` text NOT NULL,
	`revision_id` text NOT NULL,
	`content_hash` text NOT NULL,
	`state` text NOT NULL,
	`note` text NOT NULL,
	`requested_by_id` text,
	`requested_by_name` text NOT NULL,
	`requested_at_ms` integer NOT NULL,
	`decided_by_id` text,
	`decided_by_name` text,
	`decided_at_ms` integer,
	`reason` text,
	FOREIGN KEY (`calibration_id`) REFERENCES `calibrations`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`revision_id`) REFERENCES `revisions`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`requested_by_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`decided_by_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE UNIQUE INDEX `reviews_one_open` ON `reviews` (`revision_id`) WHERE state = 'open';--> statement-breakpoint
CREATE INDEX `reviews_by_revision` ON `reviews` (`revision_id`,`id`);--> statement-breakpoint
CREATE INDEX `reviews_by_content` ON `reviews` (`calibration_id`,`content_hash`,`id`);--> statement-breakpoint
CREATE INDEX `reviews_by_state` ON `reviews` (`state`,`id`);--> statement-breakpoint
ALTER TABLE `revisions` ADD `line` text DEFAULT 'main' NOT NULL;--> statement-breakpoint
ALTER TABLE `revisions` ADD `merge_parent_id` text REFERENCES revisions(id);--> statement-breakpoint
ALTER TABLE `revisions` ADD `reverts_id` text REFERENCES revisions(id);--> statement-breakpoint
ALTER TABLE `revisions` ADD `editor_ids` text DEFAULT '[]' NOT NULL;--> statement-breakpoint
CREATE INDEX `revisions_by_line` ON `revisions` (`calibration_id`,`line`,`number`);--> statement-breakpoint
CREATE INDEX `revisions_by_content` ON `revisions` (`content_hash`);
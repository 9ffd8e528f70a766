CREATE TABLE `tokens` (
	`id` text PRIMARY KEY NOT NULL,
	`person_id` text NOT NULL,
	`name` text NOT NULL,
	`scopes` text NOT NULL,
	`token_hash` text NOT NULL,
	`created_at_ms` integer NOT NULL,
	`expires_at_ms` integer NOT NULL,
	`last_used_at_ms` integer,
	FOREIGN KEY (`person_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE UNIQUE INDEX `tokens_by_hash` ON `tokens` (`token_hash`);--> statement-breakpoint
CREATE INDEX `tokens_by_person` ON `tokens` (`person_id`);--> statement-breakpoint
CREATE TABLE `packed_contents` (
	`sha256` text PRIMARY KEY NOT NULL,
	`content_sha256` text NOT NULL,
	FOREIGN KEY (`sha256`) REFERENCES `blobs`(`sha256`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE TABLE `uploads` (
	`id` text PRIMARY KEY NOT NULL,
	`person_id` text NOT NULL,
	`vehicle_id` text NOT NULL,
	`file_name` text NOT NULL,
	`size_bytes` integer NOT NULL,
	`driven_at_ms` integer,
	`revision_id` text,
	`sha256` text,
	`head_sha256` text,
	`started_by` text NOT NULL,
	`state` text NOT NULL,
	`log_id` text,
	`is_duplicate` integer,
	`problem_code` text,
	`problem_detail` text,
	`problem_remedy` text,
	`created_at_ms` integer NOT NULL,
	`expires_at_ms` integer NOT NULL,
	FOREIGN KEY (`person_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`vehicle_id`) REFERENCES `vehicles`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`revision_id`) REFERENCES `revisions`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`log_id`) REFERENCES `logs`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE INDEX `uploads_by_person` ON `uploads` (`person_id`,`created_at_ms`);--> statement-breakpoint
CREATE INDEX `uploads_by_vehicle` ON `uploads` (`vehicle_id`,`state`);--> statement-breakpoint
CREATE INDEX `uploads_by_log` ON `uploads` (`log_id`);--> statement-breakpoint
CREATE INDEX `uploads_by_end` ON `uploads` (`expires_at_ms`);
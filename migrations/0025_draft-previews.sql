CREATE TABLE `draft_previews` (
	`draft_id` text PRIMARY KEY NOT NULL,
	`content_hash` text NOT NULL,
	`made_at_ms` integer NOT NULL,
	`document` text NOT NULL,
	FOREIGN KEY (`draft_id`) REFERENCES `drafts`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
ALTER TABLE `vehicle_moments` ADD `deflated_rows` blob;
CREATE TABLE `openid_links` (
	`issuer` text NOT NULL,
	`subject` text NOT NULL,
	`person_id` text NOT NULL,
	`linked_at_ms` integer NOT NULL,
	PRIMARY KEY(`issuer`, `subject`),
	FOREIGN KEY (`person_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `openid_links_by_person` ON `openid_links` (`person_id`);--> statement-breakpoint
CREATE TABLE `password_resets` (
	`secret_hash` text PRIMARY KEY NOT NULL,
	`person_id` text NOT NULL,
	`created_at_ms` integer NOT NULL,
	`expires_at_ms` integer NOT NULL,
	`used_at_ms` integer,
	FOREIGN KEY (`person_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE UNIQUE INDEX `password_resets_by_person` ON `password_resets` (`person_id`);--> statement-breakpoint
CREATE TABLE `recovery_codes` (
	`code_hash` text PRIMARY KEY NOT NULL,
	`person_id` text NOT NULL,
	`used_at_ms` integer,
	FOREIGN KEY (`person_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `recovery_codes_by_person` ON `recovery_codes` (`person_id`);--> statement-breakpoint
CREATE TABLE `second_factors` (
	`person_id` text PRIMARY KEY NOT NULL,
	`secret` text NOT NULL,
	`created_at_ms` integer NOT NULL,
	`confirmed_at_ms` integer,
	`last_step` integer,
	FOREIGN KEY (`person_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
ALTER TABLE `audit` ADD `before` text;--> statement-breakpoint
ALTER TABLE `audit` ADD `after` text;--> statement-breakpoint
ALTER TABLE `audit` ADD `hash` text DEFAULT '' NOT NULL;--> statement-breakpoint
CREATE INDEX `audit_by_actor` ON `audit` (`actor_id`);--> statement-breakpoint
CREATE INDEX `audit_by_action` ON `audit` (`action`);--> statement-breakpoint
CREATE INDEX `audit_by_time` ON `audit` (`at_ms`);--> statement-breakpoint
ALTER TABLE `people` ADD `suspended_at_ms` integer;--> statement-breakpoint
ALTER TABLE `people` ADD `consent_version` integer DEFAULT 0 NOT NULL;--> statement-breakpoint
ALTER TABLE `people` ADD `consent_at_ms` integer;--> statement-breakpoint
ALTER TABLE `sessions` ADD `id` text DEFAULT '' NOT NULL;--> statement-breakpoint
ALTER TABLE `sessions` ADD `last_used_at_ms` integer;--> statement-breakpoint
ALTER TABLE `sessions` ADD `client` text DEFAULT '' NOT NULL;--> statement-breakpoint
CREATE INDEX `sessions_by_id` ON `sessions` (`id`);
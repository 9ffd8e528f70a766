ALTER TABLE `blobs` ADD `removed_at_ms` integer;--> statement-breakpoint
ALTER TABLE `people` ADD `erased_at_ms` integer;
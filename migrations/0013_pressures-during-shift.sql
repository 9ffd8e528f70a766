ALTER TABLE `candidate_shifts` ADD `applied_start_kpa` real;--> statement-breakpoint
ALTER TABLE `candidate_shifts` ADD `applied_mean_kpa` real;--> statement-breakpoint
ALTER TABLE `shifts` ADD `applied_start_kpa` real;--> statement-breakpoint
ALTER TABLE `shifts` ADD `applied_mean_kpa` real;
-- Written by hand: drizzle-kit does not know triggers. What was made of a draft, asked of a reviewer or decided stays.
CREATE TRIGGER `drafts_no_update_once_made` BEFORE UPDATE ON `drafts` WHEN OLD.`state` = 'made'
BEGIN
  SELECT RAISE(ABORT, 'A draft that was made into a revision is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `drafts_no_delete` BEFORE DELETE ON `drafts`
BEGIN
  SELECT RAISE(ABORT, 'A draft is never removed');
END;
--> statement-breakpoint
CREATE TRIGGER `reviews_of_content` BEFORE INSERT ON `reviews`
WHEN NOT EXISTS (
  SELECT 1 FROM `revisions` WHERE `id` = NEW.`revision_id` AND `calibration_id` = NEW.`calibration_id`
    AND `content_hash` = NEW.`content_hash`)
BEGIN
  SELECT RAISE(ABORT, 'A review is of the content of its revision');
END;
--> statement-breakpoint
CREATE TRIGGER `reviews_no_update_once_decided` BEFORE UPDATE ON `reviews` WHEN OLD.`state` <> 'open'
BEGIN
  SELECT RAISE(ABORT, 'A decision is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `reviews_no_update_of_request` BEFORE UPDATE OF
  `id`, `calibration_id`, `revision_id`, `content_hash`, `note`, `requested_by_id`, `requested_by_name`, `requested_at_ms`
ON `reviews`
BEGIN
  SELECT RAISE(ABORT, 'What was asked of a reviewer is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `reviews_no_delete` BEFORE DELETE ON `reviews`
BEGIN
  SELECT RAISE(ABORT, 'A review is never removed');
END;
--> statement-breakpoint
CREATE TRIGGER `comments_no_update_of_text` BEFORE UPDATE OF
  `id`, `revision_id`, `table_id`, `variant`, `row`, `column`, `text`, `by_id`, `by_name`, `created_at_ms`
ON `comments`
BEGIN
  SELECT RAISE(ABORT, 'A comment is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `comments_no_delete` BEFORE DELETE ON `comments`
BEGIN
  SELECT RAISE(ABORT, 'A comment is never removed');
END;

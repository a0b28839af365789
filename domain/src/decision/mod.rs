//! The decision on a lot: send, hold, restore, recover here, haul away, or act today.

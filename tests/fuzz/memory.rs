//! What one input costs, counted and not timed: bytes asked for in all (work), and held at once (memory).

#![allow(
    unsafe_code,
    reason = "an allocator that counts can be written in no other way"
)]

use std::alloc::{GlobalAlloc, Layout, System};
use std::cell::Cell;

thread_local! {
    static ASKED: Cell<usize> = const { Cell::new(0) };
    static HELD: Cell<isize> = const { Cell::new(0) };
    static MOST: Cell<isize> = const { Cell::new(0) };
}

/// The system's allocator, counting for each thread.
struct Counting;

fn note(more: usize, less: usize) {
    let _ = ASKED.try_with(|a| a.set(a.get().saturating_add(more)));
    let _ = HELD.try_with(|h| {
        h.set(h.get() + more.cast_signed() - less.cast_signed());
        let _ = MOST.try_with(|m| m.set(m.get().max(h.get())));
    });
}

// SAFETY: every call goes to the system's allocator with the arguments it came with.
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        note(layout.size(), 0);
        unsafe { System.alloc(layout) }
    }

    unsafe fn dealloc(&self, at: *mut u8, layout: Layout) {
        note(0, layout.size());
        unsafe { System.dealloc(at, layout) }
    }

    unsafe fn realloc(&self, at: *mut u8, layout: Layout, size: usize) -> *mut u8 {
        note(size, layout.size());
        unsafe { System.realloc(at, layout, size) }
    }
}

#[global_allocator]
static ALLOCATOR: Counting = Counting;

/// Bytes that something asked for in all, and the most that it held at once.
#[derive(Debug, Clone, Copy)]
pub struct Cost {
    pub asked: usize,
    pub most: usize,
}

/// Does something on this thread and counts.
pub fn cost(what: impl FnOnce()) -> Cost {
    let (asked, held) = (ASKED.get(), HELD.get());
    MOST.set(held);
    what();
    Cost {
        asked: ASKED.get() - asked,
        most: (MOST.get() - held).max(0) as usize,
    }
}

#pragma once
// Counts the bytes that a program holds on the heap, by replacing the allocation functions. To be included by one file
// of a program.

#include <malloc.h>

#include <atomic>
#include <cstddef>
#include <cstdlib>
#include <new>

namespace counted {

inline std::atomic<std::size_t> held{0};
inline std::atomic<std::size_t> most{0};

inline void* take(std::size_t size) {
    void* p = std::malloc(size ? size : 1);
    if (!p) throw std::bad_alloc();
    const std::size_t now = held += malloc_usable_size(p);
    std::size_t peak = most;
    while (now > peak && !most.compare_exchange_weak(peak, now)) {
    }
    return p;
}

inline void give(void* p) noexcept {
    if (p) held -= malloc_usable_size(p);
    std::free(p);
}

/// The most bytes held at once during `work`, beyond those held before it.
template <class F>
std::size_t most_held(F&& work) {
    const std::size_t before = held;
    most = before;
    work();
    return most - before;
}

} // namespace counted

void* operator new(std::size_t size) {
    return counted::take(size);
}
void* operator new[](std::size_t size) {
    return counted::take(size);
}
// Without these the library's own would take memory that is given back here uncounted.
void* operator new(std::size_t size, const std::nothrow_t&) noexcept {
    try {
        return counted::take(size);
    } catch (const std::bad_alloc&) {
        return nullptr;
    }
}
void* operator new[](std::size_t size, const std::nothrow_t& tag) noexcept {
    return operator new(size, tag);
}
void operator delete(void* p) noexcept {
    counted::give(p);
}
void operator delete[](void* p) noexcept {
    counted::give(p);
}
void operator delete(void* p, std::size_t) noexcept {
    counted::give(p);
}
void operator delete[](void* p, std::size_t) noexcept {
    counted::give(p);
}

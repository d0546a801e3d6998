#pragma once
// One client's connection, with patience that ends: a client that sends or takes its bytes one by one holds a thread
// for some seconds only, however busily it drips.

#include <httplib.h>

#include <atomic>
#include <chrono>
#include <cstddef>
#include <cstdint>

namespace kerfwright::page {

/// What all connections know of each other.
struct Crowd {
    std::atomic<int> waiting = 0;      ///< connections that no thread has taken yet
    std::atomic<bool> closing = false; ///< the server ends
};

class Connection final : public httplib::Stream {
  public:
    Connection(socket_t socket, const Crowd& crowd);
    ~Connection() override; ///< closes the socket, after the client had time to read the last reply
    Connection(const Connection&) = delete;
    Connection& operator=(const Connection&) = delete;

    /// Waits until a request begins. False when none comes, others wait for the thread, or the server ends.
    [[nodiscard]] bool wait_for_request();
    /// The request line and headers are read: now the body, `length` bytes of it, 0 when there is none.
    void begin_body(std::uint64_t length, bool chunked);
    /// May another request follow? Not when something of the body was left unread.
    [[nodiscard]] bool clean() const;

    [[nodiscard]] bool is_readable() const override;
    [[nodiscard]] bool is_writable() const override;
    ssize_t read(char* to, std::size_t size) override;
    ssize_t write(const char* from, std::size_t size) override;
    void get_remote_ip_and_port(std::string& ip, int& port) const override;
    void get_local_ip_and_port(std::string& ip, int& port) const override;
    [[nodiscard]] socket_t socket() const override { return socket_; }

  private:
    using Clock = std::chrono::steady_clock;
    /// Waits for POLLIN or POLLOUT until the client's time is over.
    [[nodiscard]] bool wait(short event, Clock::time_point begin, std::chrono::milliseconds patience,
                            std::chrono::milliseconds when_crowded) const;
    [[nodiscard]] bool fill();

    socket_t socket_;
    const Crowd& crowd_;
    char buffer_[16384];
    std::size_t from_ = 0, to_ = 0; ///< unread bytes of the buffer
    Clock::time_point began_;       ///< the request, or its body
    Clock::time_point reply_began_;
    bool in_body_ = false, chunked_ = false, replying_ = false;
    std::size_t head_bytes_ = 0;  ///< read of the request's head
    std::uint64_t body_left_ = 0; ///< of the body that was announced
    std::uint64_t body_length_ = 0;
};

} // namespace kerfwright::page

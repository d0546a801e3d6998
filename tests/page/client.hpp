#pragma once
// A client that says what it wants, byte by byte: for the requests that no browser sends.

#include <arpa/inet.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <unistd.h>

#include <string>

namespace kerfwright::page {

class Client {
  public:
    explicit Client(int port) : socket_(::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)) {
        sockaddr_in address{};
        address.sin_family = AF_INET;
        address.sin_port = htons(static_cast<std::uint16_t>(port));
        address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
        connected_ = ::connect(socket_, reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0;
        const timeval patience{30, 0};
        ::setsockopt(socket_, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience);
    }
    ~Client() { ::close(socket_); }
    Client(const Client&) = delete;
    Client& operator=(const Client&) = delete;

    [[nodiscard]] bool connected() const { return connected_; }
    /// False when the server has hung up.
    bool send(const std::string& bytes) const {
        std::size_t done = 0;
        while (done < bytes.size()) {
            const ssize_t n = ::send(socket_, bytes.data() + done, bytes.size() - done, MSG_NOSIGNAL);
            if (n <= 0) return false;
            done += static_cast<std::size_t>(n);
        }
        return true;
    }
    /// Everything until the server hangs up.
    [[nodiscard]] std::string rest() const {
        std::string all;
        char block[65536];
        for (ssize_t n = 0; (n = ::recv(socket_, block, sizeof block, 0)) > 0;)
            all.append(block, static_cast<std::size_t>(n));
        return all;
    }

  private:
    int socket_;
    bool connected_ = false;
};

/// The status of a reply; 0 when there was none.
inline int status_of(const std::string& reply) {
    return reply.starts_with("HTTP/1.1 ") ? std::atoi(reply.c_str() + 9) : 0;
}

/// One request on a connection of its own; `head` holds whole lines.
inline std::string ask(int port, const std::string& head, const std::string& body = "") {
    const Client client(port);
    client.send(head + (head.ends_with("\r\n") ? "\r\n" : "\r\n\r\n") + body);
    return client.rest();
}

} // namespace kerfwright::page

"""CRC-32 by the rule, for tests that must not trust the library that the program uses."""

__all__ = ["crc32"]


def crc32(content: bytes) -> int:
    """CRC-32 bit by bit: reflected polynomial EDB88320, all ones in and out (ISO 3309, from memory)."""
    value = 0xFFFFFFFF
    for byte in content:
        value ^= byte
        for _ in range(8):
            value = value >> 1 ^ (0xEDB88320 if value & 1 else 0)
    return value ^ 0xFFFFFFFF

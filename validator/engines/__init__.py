"""Engines: they read subjects and a book's fused trees and nothing else, derive what follows, decide, and explain."""

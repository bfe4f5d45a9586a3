"""What stands still: living trees and made anchors."""
